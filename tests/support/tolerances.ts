/** Tolerances with their reasons. A test that needs another one names it beside its use. */

/** One unit in the last place of a double between 1 and 2; the error of one rounding is half of it. */
export const LAST_PLACE = 2 ** -52;

/** The promise of the table-based functions in dB, far below what can be heard or measured on a recording. */
export const FAST_DB = 1e-6;

/** Statistics of a fixed seed lie within five standard errors: by chance once in 1.7 million. */
export const STANDARD_ERRORS = 5;

/** Half of the last digit printed in a table with so many decimals. */
export const halfDigit = (decimals: number): number => 0.5000001 * 10 ** -decimals;

/** Error of a Fourier transform relative to its largest value: one rounding per stage, with room for their sum. */
export const fourierError = (size: number): number => 2 * LAST_PLACE * Math.log2(size);
