/** Schroeder's allpass written out: y[n] = -g x[n] + x[n-M] + g y[n-M]. */
export function allpassByFormula(x: Float64Array, delaySamples: number, gain: number): Float64Array {
  const y = x.map((v) => -gain * v);
  for (let n = delaySamples; n < x.length; n++) y[n] += x[n - delaySamples] + gain * y[n - delaySamples];
  return y;
}
