/** Makes the filter of a case of `vectors/biquads.json`: 102 cookbook filters that scipy 1.10.1 computed on another path. */
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import {
  allpass,
  bandpass,
  bandpassConstantSkirt,
  highpass,
  lowpass,
  notch,
  peaking,
} from '../../src/filters/biquad-design.ts';
import { highShelf, lowShelf } from '../../src/filters/shelf-design.ts';
import vectors from '../vectors/biquads.json' with { type: 'json' };

export type CookbookCase = (typeof vectors.cases)[number];

export function designOf(wanted: CookbookCase): BiquadCoefficients {
  const corner = { sampleRateHz: wanted.fs, frequencyHz: wanted.f0 };
  const gainDb = wanted.gain_dB;
  const { Q: q, BW: bandwidthOctaves, S: slope } = wanted.param as { Q?: number; BW?: number; S?: number };
  const width = q === undefined ? { bandwidthOctaves: bandwidthOctaves as number } : { q };
  const shelf = { ...corner, gainDb, ...(slope === undefined ? { q: q as number } : { slope }) };
  switch (wanted.type) {
    case 'lpf':
      return lowpass({ ...corner, ...width });
    case 'hpf':
      return highpass({ ...corner, ...width });
    case 'bpf_peak':
      return bandpass({ ...corner, ...width });
    case 'bpf_skirt':
      return bandpassConstantSkirt({ ...corner, ...width });
    case 'notch':
      return notch({ ...corner, ...width });
    case 'apf':
      return allpass({ ...corner, ...width });
    case 'peaking':
      return peaking({ ...corner, ...width, gainDb });
    case 'lowshelf':
      return lowShelf(shelf);
    case 'highshelf':
      return highShelf(shelf);
    default:
      throw new Error(`no design for ${wanted.type}`);
  }
}
