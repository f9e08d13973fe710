/**
 * Report: what is told of a mix, as data, as a page and as a table.
 * @module
 */
export { type ListeningPair, listeningPair } from './listening.ts';
export { type MaskedPart, maskedPart } from './masked-part.ts';
export type { FileReport, Harm, InputFileReport, MixFileReport, SoundReport, Warning } from './mix-file-report.ts';
export { type LoudnessOverTime, MixMeter } from './mix-meter.ts';
export { reportCsv } from './report-csv.ts';
export { type DrawnPair, reportHtml, type ReportParts } from './report-html.ts';
export { type JudgedReport, warningsOf } from './warnings.ts';
