/**
 * The worker: everything that takes longer than a moment.
 * @module
 */
import { LoudnessMeter } from 'batterhead/meters';
import {
  alignInputs,
  arrayInput,
  type MixInput,
  type MixReport,
  type MixSink,
  parsePlan,
  renderMix,
} from 'batterhead/mix';
import { simulateKit } from 'batterhead/simulation';
import { readTracks } from './files.ts';
import { type PlanJson, unprocessed } from './plan.ts';
import { type LoudnessPair, SAMPLE_RATE_HZ, type Session } from './session.ts';

/** What the page asks. */
export type Question =
  | { readonly kind: 'simulate'; readonly plan: PlanJson }
  | { readonly kind: 'open'; readonly plan: PlanJson; readonly files: readonly File[] }
  | { readonly kind: 'loudness'; readonly plan: PlanJson; readonly alignment: Session['alignment'] };

/** Bars of the simulated kit: about six seconds. */
const BARS = 2;

let tracks: Session['tracks'] = {};
let frames = 0;

onmessage = ({ data: { id, question } }: MessageEvent<{ id: number; question: Question }>) => {
  try {
    postMessage({ id, value: answer(question) });
  } catch (error) {
    postMessage({ id, failed: error instanceof Error ? error.message : String(error) });
  }
};

function answer(question: Question): Session | LoudnessPair {
  if (question.kind === 'loudness') return loudness(question.plan, question.alignment);
  const names = Object.keys(question.plan.inputs);
  const notes: string[] = [];
  tracks = question.kind === 'simulate' ? simulated() : readTracks(question.files, names, notes);
  frames = Math.max(...Object.values(tracks).map((x) => x.length));
  const missing = names.filter((name) => !Object.hasOwn(tracks, name));
  if (missing.length > 0) notes.push(`Silent, because there is no file for them: ${missing.join(', ')}.`);
  return { frames, tracks, alignment: align(question.plan, notes), notes };
}

function simulated(): Session['tracks'] {
  const { microphones } = simulateKit({ sampleRateHz: SAMPLE_RATE_HZ, bars: BARS });
  return Object.fromEntries(Object.entries(microphones).map(([name, x]) => [name, Float32Array.from(x)]));
}

/** The moves that the offline mix finds. */
function align(plan: PlanJson, notes: string[]): Session['alignment'] {
  try {
    const { moves, leadSamples } = alignInputs(parsePlan(plan), inputsOf(plan));
    return { moves, leadSamples };
  } catch (error) {
    notes.push(`No microphone was moved in time: ${(error as Error).message}.`);
    return { moves: {}, leadSamples: 0 };
  }
}

function inputsOf({ inputs }: PlanJson): Record<string, MixInput> {
  const silence = new Float32Array(frames);
  return Object.fromEntries(
    Object.keys(inputs).map((name) => [name, arrayInput([tracks[name] ?? silence], SAMPLE_RATE_HZ)]),
  );
}

/** Renders the whole session twice. */
function loudness(plan: PlanJson, alignment: Session['alignment']): LoudnessPair {
  const { lufs, report } = render(plan, alignment);
  const endSamples = Object.entries(report.strips).map(([path, strip]) => [path, strip.endSamples]);
  return {
    processedLufs: lufs,
    unprocessedLufs: render(unprocessed(plan), { moves: {}, leadSamples: 0 }).lufs,
    endSamples: Object.fromEntries(endSamples) as LoudnessPair['endSamples'],
  };
}

function render(plan: PlanJson, alignment: Session['alignment']): { lufs: number; report: MixReport } {
  const meter = new LoudnessMeter({ sampleRateHz: SAMPLE_RATE_HZ, channels: 2 });
  const sink: MixSink = {
    write: (channels, start, end) => meter.process(channels, start, end),
  };
  const report = renderMix(parsePlan(plan), inputsOf(plan), sink, { alignment: { ...alignment, pairs: [] } });
  return { lufs: meter.integratedLufs, report };
}
