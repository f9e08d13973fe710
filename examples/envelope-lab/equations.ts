/**
 * The equations of the blocks, in the symbols of the library's pages. They become MathML when the page is built.
 * @module
 */

/** Equations of a block: what each says in words, and itself as TeX. */
export type Equations = readonly (readonly [words: string, tex: string])[];

const ELSE = String.raw`\text{else}`;

/** Lines with the condition under which each holds. A brace around them needs a font that not everyone has. */
function rows(...lines: readonly (readonly [formula: string, condition?: string])[]): string {
  const text = lines.map(([formula, condition = '']) => `${formula.replace('=', '&=')} && ${condition}`);
  return String.raw`\begin{aligned} ${text.join(String.raw` \\[4pt] `)} \end{aligned}`;
}

const smoother: Equations = [
  [
    'Attack and release, with s the static gain and c the smoothed one, both in dB',
    rows([String.raw`c[n] = s[n] + a\,(c[n-1] - s[n])`], [String.raw`a = e^{-1 / (\tau f_s)}`]),
  ],
  [
    'The time constant',
    rows([String.raw`\tau = \text{ attack}`, 's[n] < c[n-1]'], [String.raw`\tau = \text{ release}`, ELSE]),
  ],
];

const distance: Equations = [
  [
    'Distance below the threshold T, with a knee of the width W; r is at most the range',
    rows(
      [String.raw`d = T - \text{level}`],
      ['r = 0', '2d < -W'],
      [String.raw`r = k\, \frac{(d + W/2)^2}{2W}`, String.raw`2|d| \le W`],
      [String.raw`r = k\,d`, '2d > W'],
    ),
  ],
  [
    'Hold, attack and release, all in dB',
    rows(['c[n] = c[n-1]', String.raw`\text{held}`], [String.raw`c[n] = r[n] + a\,(c[n-1] - r[n])`, ELSE]),
  ],
];

const fourthOrderSplit: Equations = [
  [
    'The lows and the highs of a Linkwitz-Riley crossover of order 4 add up to an all-pass',
    String.raw`H_\mathrm{low} + H_\mathrm{high} = \frac{1 + s^4}{(s^2 + \sqrt 2\, s + 1)^2} = \frac{s^2 - \sqrt 2\, s + 1}{s^2 + \sqrt 2\, s + 1}`,
  ],
];

const cubic = rows(
  [String.raw`f(u) = u - \tfrac{4}{27}\, u^3`, String.raw`|u| \le \tfrac{3}{2}`],
  [String.raw`f(u) = \pm 1`, ELSE],
);

const ceiling: Equations = [['Drive g and ceiling c', String.raw`y = c\, f(g\,x / c)`]];

export const equations: Readonly<Record<string, Equations>> = {
  gain: [['Gain G in dB', String.raw`y[n] = 10^{G/20}\, x[n]`]],
  polarity: [['Inverted', String.raw`y[n] = -x[n]`]],
  delay: [['A delay of D samples', String.raw`y[n] = x[n - D]`]],
  fractionalDelay: [['A delay of D samples, whole or not', String.raw`y(t) = x(t - D)`]],
  midSide: [
    ['Encoded', String.raw`m = \frac{l + r}{2}, \qquad s = \frac{l - r}{2}`],
    ['Decoded', String.raw`l = m + s, \qquad r = m - s`],
  ],
  equaliser: [
    ['Bell of the gain G', rows([String.raw`H(s) = \frac{s^2 + s\,A/Q + 1}{s^2 + s/(A Q) + 1}`], ['A = 10^{G/40}'])],
    [
      'Low-pass and high-pass of second order',
      rows([String.raw`H(s) = \frac{1}{s^2 + s/Q + 1}`], [String.raw`H(s) = \frac{s^2}{s^2 + s/Q + 1}`]),
    ],
  ],
  dcBlocker: [['High-pass of first order', String.raw`y[n] = \frac{1 + r}{2}\,(x[n] - x[n-1]) + r\, y[n-1]`]],
  bandSplit: fourthOrderSplit,
  monoBelow: [['Mid and side', String.raw`m = \frac{l + r}{2}, \qquad s = \frac{l - r}{2}`], ...fourthOrderSplit],
  phaseRotator: [
    [
      'All-passes of first and second order',
      String.raw`\frac{1 - s}{1 + s}, \qquad \frac{s^2 - s/q + 1}{s^2 + s/q + 1}`,
    ],
  ],
  gate: [
    [
      'The gate opens at the threshold T, and closes a hold after the level has been below T - h, the hysteresis',
      rows(['t = 1', String.raw`\text{open}`], [String.raw`t = 10^{-\text{range}/20}`, String.raw`\text{closed}`]),
    ],
    [
      'The gain g approaches its target t',
      rows([String.raw`g[n] = t + a\,(g[n-1] - t)`], [String.raw`a = e^{-1 / (\tau f_s)}`]),
    ],
    [
      'The time constant',
      rows([String.raw`\tau = \text{ attack}`, 't > g[n-1]'], [String.raw`\tau = \text{ release}`, ELSE]),
    ],
  ],
  expander: [['Slope k for the ratio R', String.raw`k = R - 1`], ...distance, ['Gain in dB', String.raw`-c`]],
  upwardCompressor: [
    ['Slope k for the ratio R', String.raw`k = 1 - \frac{1}{R}`],
    ...distance,
    ['Gain in dB', String.raw`+c`],
  ],
  compressor: [
    [
      'Static gain for a level in, threshold T, ratio R and a knee of the width W, never below the negative range',
      rows(
        ['s = 0', String.raw`2(\text{in} - T) < -W`],
        [String.raw`s = (1/R - 1)\, \frac{(\text{in} - T + W/2)^2}{2W}`, String.raw`2|\text{in} - T| \le W`],
        [String.raw`s = (1/R - 1)(\text{in} - T)`, String.raw`2(\text{in} - T) > W`],
      ),
    ],
    ...smoother,
    ['Output, with the make-up M', String.raw`\text{out} = \text{in} + c + M \quad \text{(dB)}`],
  ],
  dynamicBand: [
    ['The band b is added to the signal with a gain K that moves', String.raw`y = x + (K - 1)\, b`],
    ['A bell', String.raw`H(s) = \frac{s^2 + K s/Q + 1}{s^2 + s/Q + 1}`],
    ...smoother,
  ],
  transientShaper: [
    [
      'Three levels of a hit: e falls in the hold time, s follows it from below in the attack time, u from above in the sustain time',
      String.raw`s \le e \le u`,
    ],
    ['Gain in dB before its smoothing', String.raw`\text{attackDb}\,(1 - s/e) + \text{sustainDb}\,(1 - e/u)`],
  ],
  limiter: [
    ['Gain that the sample itself needs', String.raw`g = \min(1, \text{ceiling} / |x|)`],
    [
      'The lowest within the look-ahead of L samples, released with the coefficient a',
      rows([String.raw`m[n] = \min_{0 \le j \le L} g[n-j]`], [String.raw`r[n] = \min(m[n],\; 1 - a\,(1 - r[n-1]))`]),
    ],
    [
      'A weighted mean of these, which is never above g',
      String.raw`\sum_{j=0}^{L} w_j\, r[n-j] \;\le\; g[n-L], \qquad \sum w_j = 1`,
    ],
  ],
  hardClipper: [...ceiling, ['The curve', rows(['f(u) = u', String.raw`|u| \le 1`], [String.raw`f(u) = \pm 1`, ELSE])]],
  softClipper: [...ceiling, ['The cubic curve', cubic], ['Or the hyperbolic tangent', String.raw`f(u) = \tanh u`]],
  saturator: [
    ['Curves', String.raw`\tanh u, \qquad \frac{u}{\sqrt{1 + u^2}}`],
    ['The cubic curve', cubic],
    [
      'The uneven curve',
      rows([String.raw`f(u) = \tanh u`, String.raw`u \ge 0`], [String.raw`f(u) = 2 \tanh (u/2)`, 'u < 0']),
    ],
  ],
  hysteresis: [
    ['Field H of the drive g, and output of the magnetisation M', String.raw`H = g\,x, \qquad y = \frac{3}{g}\, M`],
    [
      'Equation of Jiles and Atherton, with the reversible share c, the pinning k and the coupling alpha; s is the sign of the change of H, and D is 1 while M is on its way to L, else 0',
      String.raw`\frac{dM}{dH} = \frac{1}{1 - \alpha c L'} \left( \frac{D\,(L - M)}{s k - \alpha (L - M) / (1 - c)} + c L' \right)`,
    ],
    ["Langevin's function", String.raw`L = L(H + \alpha M), \qquad L(u) = \coth u - 1/u`],
  ],
  schroederReverb: [
    [
      'Comb of M samples, with a pole p in its loop',
      rows(['y[n] = x[n] + f[n]'], [String.raw`f[n] = g\, y[n-M] + p\, f[n-1]`]),
    ],
    ['All-pass', String.raw`H(z) = \frac{-g + z^{-M}}{1 - g\, z^{-M}}, \qquad |H| = 1`],
    ['Gain of a comb for the decay time T', String.raw`g = 10^{-3 M / (T f_s)}`],
  ],
  feedbackReverb: [
    ['Gain of a line of M samples at the frequency f', String.raw`g(f) = 10^{-3 M / (T(f)\, f_s)}`],
    ['Share e of the early reflections', String.raw`y = \sqrt{e}\; \text{early} + \sqrt{1 - e}\; \text{late}`],
  ],
};
