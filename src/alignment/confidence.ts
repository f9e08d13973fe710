/**
 * How far an estimate of a delay can be trusted, and why not.
 *
 *     confidence = product of doubts, each 1 where there is no doubt and 0 where there is nothing but doubt
 *
 * The limits are ours, set so that right estimates on the simulated kit come out near 1 and those of unrelated signals near
 * 0. They make no probability.
 *
 * @module
 */

/** What an estimate rests on. */
export interface Evidence {
  /** Whether the two signals are the same samples at all places compared. */
  readonly identical: boolean;
  readonly referenceEnergy: number;
  readonly otherEnergy: number;
  /** Hits compared, and those that agree. */
  readonly hits: number;
  readonly agreeing: number;
  /** Whether the fine delay stayed where the coarse one was. */
  readonly settled: boolean;
  /** Mean cosine of the phase errors. */
  readonly height: number;
  readonly coherence: number;
  /** Second highest peak over the highest. */
  readonly rival: number;
  /** The same of a steady reference compared with itself: near 1 for a tone. */
  readonly ownRival: number;
}

/** Below this share of 1 a doubt is worth a reason. */
const WORTH_SAYING = 0.8;

/** Confidence from 0 to 1, and a reason for each doubt. */
export function judge(evidence: Evidence): { confidence: number; reasons: string[] } {
  const silent = silence(evidence);
  if (silent !== undefined) return { confidence: 0, reasons: [silent] };
  if (evidence.identical) return { confidence: 1, reasons: [] };
  let confidence = 1;
  const reasons: string[] = [];
  for (const [value, reason] of doubts(evidence)) {
    confidence *= value;
    if (value < WORTH_SAYING) reasons.push(reason);
  }
  return { confidence, reasons };
}

function silence({ hits, referenceEnergy, otherEnergy }: Evidence): string | undefined {
  if (hits === 0) return 'there is no hit to compare';
  if (referenceEnergy === 0 && otherEnergy === 0) return 'both microphones are silent';
  if (referenceEnergy === 0) return 'the reference microphone is silent';
  if (otherEnergy === 0) return 'the other microphone is silent';
  return undefined;
}

function doubts({
  hits,
  agreeing,
  settled,
  height,
  coherence,
  rival,
  ownRival,
}: Evidence): [value: number, reason: string][] {
  const percent = (share: number): string => `${Math.round(100 * share)} %`;
  return [
    [rising(agreeing, 0, 8), `only ${agreeing} ${agreeing === 1 ? 'hit agrees' : 'hits agree'} on the delay`],
    [rising(agreeing / hits, 0.4, 0.75), `${hits - agreeing} of ${hits} hits disagree with the others`],
    [settled ? 1 : 0, 'the delay does not settle: the microphones share too little sound'],
    [rising(height, 0.65, 0.9), `frequencies disagree on the delay: the peak is ${percent(height)} of a perfect one`],
    [rising(coherence, 0.25, 0.55), `the microphones hear the hits differently: coherence is ${percent(coherence)}`],
    [rising(1 - rival, 0, 0.1), `another delay is as likely: its peak is ${percent(rival)} of the highest`],
    [rising(1 - ownRival, 0, 0.1), 'the sound repeats itself, so delays that differ by its period are as likely'],
  ];
}

/** 0 up to `none`, 1 from `all` on. */
function rising(value: number, none: number, all: number): number {
  return Math.max(0, Math.min(1, (value - none) / (all - none)));
}
