/**
 * Picks the hits of a microphone by the rises of its energy, as places at which to compare it with another one.
 *
 *     x --> mean of blocks of 1/12000 s --> difference --> energy of 0.5 ms --> rise above the 10 ms before
 *
 * Averaging and differencing leave the range around 4 kHz, in which every stroke has its click; the slow swing of a
 * head does not trouble it. A hit is missed rather than invented: what counts is that all places are good, not that
 * all hits are found. (To transcribe what was played is another task, that of an onset detector.)
 *
 * Source: J. P. Bello et al., "A Tutorial on Onset Detection in Music Signals", IEEE Trans. Speech and Audio Processing
 * 13(5), 2005, section III-A (energy of a high-frequency weighted signal).
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';

/** A place at which the energy rises. */
export interface PickedHit {
  /** Where the rise begins. */
  readonly sample: number;
  /** Amplitude of its click: not in dB, and only comparable within one microphone. */
  readonly level: number;
}

const BLOCKS_PER_SECOND = 12000;
const BLOCKS_PER_HOP = 6; // 0.5 ms
const HOPS_BEFORE = 20; // 10 ms of background
const HOPS_AFTER = 8; // 4 ms in which the click is loudest
const HOPS_BETWEEN = 80; // 40 ms: no two hits on one drum follow closer but for a roll
const RISE = 4; // in energy: 6 dB above the loudest of the background
const CHUNK = 65536;

/** Hits whose level is above `share` of the loudest's, by time. */
export function pickHits(source: SampleSource, sampleRateHz: number, share: number): PickedHit[] {
  const blockSamples = Math.max(1, Math.round(sampleRateHz / BLOCKS_PER_SECOND));
  const energies = hopEnergies(source, blockSamples);
  const hits: PickedHit[] = [];
  let loudest = 0;
  for (let hop = 1; hop < energies.length; hop++) {
    if (energies[hop] <= RISE * loudestOf(energies, hop - HOPS_BEFORE, hop)) continue;
    const peak = loudestOf(energies, hop, hop + HOPS_AFTER);
    loudest = Math.max(loudest, peak);
    // The rise may have begun at the end of the hop before, too little to be seen there.
    hits.push({ sample: (hop - 0.5) * BLOCKS_PER_HOP * blockSamples, level: Math.sqrt(peak) });
    hop += HOPS_BETWEEN;
  }
  return hits.filter((hit) => hit.level > share * Math.sqrt(loudest));
}

/** Energy of every 0.5 ms: 8 kB for each second. */
function hopEnergies(source: SampleSource, blockSamples: number): Float32Array {
  const hopSamples = blockSamples * BLOCKS_PER_HOP;
  const energies = new Float32Array(Math.ceil(source.frames / hopSamples));
  const chunk = new Float64Array(hopSamples * Math.ceil(CHUNK / hopSamples));
  let last = 0;
  for (let start = 0; start < source.frames; start += chunk.length) {
    source.read(start, chunk);
    for (let hop = 0; hop * hopSamples < chunk.length; hop++) {
      let energy = 0;
      for (let block = 0; block < BLOCKS_PER_HOP; block++) {
        let sum = 0;
        const from = hop * hopSamples + block * blockSamples;
        for (let i = from; i < from + blockSamples; i++) sum += chunk[i];
        energy += (sum - last) * (sum - last);
        last = sum;
      }
      const index = start / hopSamples + hop;
      if (index < energies.length) energies[index] = energy;
    }
  }
  return energies;
}

function loudestOf(energies: Float32Array, from: number, to: number): number {
  let loudest = 0;
  for (let k = Math.max(0, from); k < to && k < energies.length; k++) loudest = Math.max(loudest, energies[k]);
  return loudest;
}
