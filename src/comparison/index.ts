/**
 * Comparison: a mix against finished tracks, a part against the rest of a song, and listening without prejudice.
 * @module
 */
export {
  type BlindScore,
  type BlindTest,
  blindTest,
  type BlindTestKind,
  type BlindTrial,
  scoreBlindTest,
} from './blind-test.ts';
export { type Excerpt, excerptOf, type ExcerptOptions, levelMatch } from './excerpts.ts';
export { type BandMasking, type MaskingOptions, type MaskingReport, maskingReport, type Stem } from './masking.ts';
export { barkOf, spreadingDb } from './masking-model.ts';
export type { Quantity } from './quantities.ts';
export { type Recording, recordingOf } from './recording.ts';
export { compareWithReferences, type ComparedQuantity, type ReferenceComparison } from './references.ts';
