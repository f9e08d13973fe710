/** The spectrum of a finite signal at any frequency, summed directly: no transform, no window, no bins. */

/** Magnitude in dB of sum x[n] e^(-j w n). */
export function responseOfImpulse(
  x: ArrayLike<number>,
  sampleRateHz: number,
  frequenciesHz: readonly number[],
): number[] {
  return frequenciesHz.map((frequencyHz) => {
    let re = 0;
    let im = 0;
    for (let n = 0; n < x.length; n++) {
      const turns = (frequencyHz * n) / sampleRateHz;
      const angle = 2 * Math.PI * (turns - Math.floor(turns));
      re += x[n] * Math.cos(angle);
      im -= x[n] * Math.sin(angle);
    }
    return 10 * Math.log10(re * re + im * im);
  });
}
