/** What is left of a signal above 10 kHz: where a click shows beside low notes. */

const TAPS = 511;

/** Loudest sample, in dBFS, of the part above 10 kHz (9.3 kHz and below: -120 dB). Blackman-Harris window. */
export function peakAboveTenKilohertz(x: ArrayLike<number>, sampleRateHz: number): number {
  const cutoff = (10_000 - (5 * sampleRateHz) / TAPS) / sampleRateHz;
  const taps = Float64Array.from({ length: TAPS }, (_, i) => {
    const t = i - (TAPS - 1) / 2;
    const turn = (2 * Math.PI * i) / (TAPS - 1);
    const window = 0.35875 - 0.48829 * Math.cos(turn) + 0.14128 * Math.cos(2 * turn) - 0.01168 * Math.cos(3 * turn);
    const low = t === 0 ? 2 * cutoff : Math.sin(2 * Math.PI * cutoff * t) / (Math.PI * t);
    return window * ((t === 0 ? 1 : 0) - low);
  });
  let loudest = 0;
  for (let n = TAPS; n < x.length; n++) {
    let sum = 0;
    for (let i = 0; i < TAPS; i++) sum += taps[i] * x[n - i];
    loudest = Math.max(loudest, Math.abs(sum));
  }
  return 20 * Math.log10(loudest);
}
