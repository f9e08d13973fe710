import { describe, expect, it } from 'vitest';
import { linearAxis } from '../../src/plots/axis.ts';
import type { Chart } from '../../src/plots/chart.ts';
import { correlationChart } from '../../src/plots/correlation-chart.ts';
import { drawChart, drawCharts } from '../../src/plots/draw-charts.ts';
import { frequencyResponseChart, staticCurveChart } from '../../src/plots/level-charts.ts';
import { STYLE } from '../../src/plots/style.ts';
import { timeChart, waveformChart } from '../../src/plots/time-chart.ts';
import { attributesOf, elementsOf } from './svg-reader.ts';

const axis = (from: number, to: number) => linearAxis({ label: 'x', from, to });
const chart = (marks: Chart['marks']): Chart => ({ title: 'A chart', x: axis(0, 10), y: axis(0, 10), marks });
const pointsOf = (svg: string, name: string): number[][][] =>
  elementsOf(svg, name).map((tag) =>
    attributesOf(tag)
      .points.split(' ')
      .map((pair) => pair.split(',').map(Number)),
  );

describe('a document', () => {
  const svg = drawCharts('Two & more', [
    [chart([]), chart([])],
    [{ ...chart([]), description: 'Nothing < something.' }],
  ]);

  it('is well-formed, and as large as its rows', () => {
    const [root] = elementsOf(svg, 'svg');
    expect(attributesOf(root)).toMatchObject({
      viewBox: '0 0 1280 674',
      role: 'img',
      xmlns: 'http://www.w3.org/2000/svg',
    });
  });

  it('begins with its title and its description, for screen readers', () => {
    expect(svg).toMatch(
      /^<svg [^>]*><title>Two &amp; more<\/title><desc>A chart\. A chart\. A chart: Nothing &lt; something\.<\/desc>/,
    );
  });

  it('escapes whatever text it is given, and drops what XML cannot hold', () => {
    const hostile = `<script>alert("1")</script> & 'x' \u0000 \ud800`;
    const drawn = drawChart({
      ...chart([
        { kind: 'line', name: hostile, x: [0], y: [0] },
        { kind: 'rule', axis: 'x', value: 3, label: hostile },
      ]),
      title: hostile,
      description: hostile,
    });
    expect(elementsOf(drawn, 'script')).toEqual([]);
    for (const character of '\u0000\ud800') expect(drawn).not.toContain(character);
    expect(
      drawn.split('&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &#39;x&#39; \ufffd \ufffd').length - 1,
    ).toBe(5);
  });

  it('has colours that stand out from the paper by 3 to 1 at least, in light and in dark (WCAG 2.2, 1.4.11)', () => {
    const luminance = (hex: string) => {
      const full = hex.length === 3 ? [...hex].map((c) => c + c).join('') : hex;
      const [r, g, b] = [0, 2, 4].map((at) => {
        const c = parseInt(full.slice(at, at + 2), 16) / 255;
        return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const [light, dark] = STYLE.split('@media');
    for (const sheet of [light, dark]) {
      const paper = luminance(/background:#(\w+)/.exec(sheet)?.[1] ?? '');
      const inks = [...sheet.matchAll(/(?:--plot-c\d|root\{color):#(\w{6})/g)].map((match) => luminance(match[1]));
      expect(inks).toHaveLength(7);
      for (const ink of inks) {
        expect((Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05)).toBeGreaterThan(3);
      }
    }
  });
});

describe('a line', () => {
  it('goes through its points: 0, 0 lies at the lower left of the frame, 10, 10 at the upper right', () => {
    const svg = drawChart(chart([{ kind: 'line', x: [0, 5, 10], y: [0, 10, 5] }]));
    const { width, height } = attributesOf(elementsOf(svg, 'svg')[1]);
    const [w, h] = [Number(width), Number(height)];
    expect(pointsOf(svg, 'polyline')).toEqual([
      [
        [0, h],
        [w / 2, 0],
        [w, h / 2],
      ].map((p) => p.map((v) => Math.round(v * 10) / 10)),
    ]);
  });

  it('breaks where a value is not finite', () => {
    const svg = drawChart(chart([{ kind: 'line', x: [0, 1, 2, 3, 4, NaN], y: [1, 2, -Infinity, 4, 5, 6] }]));
    expect(pointsOf(svg, 'polyline').map((run) => run.length)).toEqual([2, 2]);
    expect(svg).not.toMatch(/NaN|Infinity/);
  });

  it('is written with one decimal at most', () => {
    const x = Float64Array.from({ length: 100 }, (_, i) => i / Math.PI);
    expect(drawChart(chart([{ kind: 'line', x, y: x }])).match(/\d\.\d\d/)).toBeNull();
  });
});

describe('rules, points, areas and the legend', () => {
  it('leave out a rule beyond the frame', () => {
    const rules = [3, 11, -1].map((value) => ({ kind: 'rule', axis: 'y', value, label: `at ${value}` }) as const);
    const svg = drawChart(chart(rules));
    expect(svg).toContain('>at 3<');
    expect(svg).not.toMatch(/>at (11|-1)</);
  });

  it('draw an area around both its curves', () => {
    const svg = drawChart(chart([{ kind: 'area', x: [0, 10, 10], low: [0, 0, NaN], high: [10, 10, 10] }]));
    const { width, height } = attributesOf(elementsOf(svg, 'svg')[1]);
    const [w, h] = [Number(width), Number(height)];
    expect(pointsOf(svg, 'polygon')).toEqual([
      [
        [0, 0],
        [w, 0],
        [w, h],
        [0, h],
      ],
    ]);
  });

  it('give every named mark its colour and its line in the legend, and wrap when there are many', () => {
    const names = Array.from({ length: 12 }, (_, i) => `microphone ${i}`);
    const svg = drawChart(chart(names.map((name) => ({ kind: 'points', name, x: [1], y: [1] }))));
    for (const name of names) expect(svg).toContain(`>${name}</text>`);
    const classes = elementsOf(svg, 'circle').map((tag) => attributesOf(tag).class);
    expect(new Set(classes).size).toBe(6);
    for (const tag of elementsOf(svg, 'text')) expect(Number(attributesOf(tag).x)).toBeGreaterThanOrEqual(-7);
  });
});

describe('a waveform', () => {
  const sampleRateHz = 48_000;

  it('is a curve when short', () => {
    const svg = drawChart(waveformChart({ title: 'w', sampleRateHz, traces: [{ values: [0, 1, 0, -1] }] }));
    expect(pointsOf(svg, 'polyline')[0]).toHaveLength(4);
    expect(svg).toContain('Time (ms)');
  });

  it('is the area between lowest and highest when long: every sample lies inside, and the file stays small', () => {
    const values = Float64Array.from({ length: 1_000_000 }, (_, i) => Math.sin(i * i * 1e-6) * Math.exp(-i / 3e5));
    values[654_321] = 1.7;
    const { marks, x } = waveformChart({ title: 'w', sampleRateHz, traces: [{ values }] });
    const [area] = marks;
    if (area.kind !== 'area') throw new Error('expected an area');
    expect(Math.max(...Array.from(area.high))).toBe(1.7);
    expect(area.x).toHaveLength(640);
    for (let i = 0; i < values.length; i += 997) {
      const c = Math.floor((i * 640) / values.length);
      expect(values[i]).toBeGreaterThanOrEqual(area.low[c]);
      expect(values[i]).toBeLessThanOrEqual(area.high[c]);
    }
    expect(x.label).toBe('Time (s)');
    expect(drawChart(waveformChart({ title: 'w', sampleRateHz, traces: [{ values }] })).length).toBeLessThan(25_000);
  });

  it('starts where it is told to, and marks a time', () => {
    const { x, marks } = timeChart({
      title: 't',
      label: 'Gain (dB)',
      sampleRateHz: 1000,
      startSeconds: -0.1,
      traces: [{ values: new Float64Array(201) }],
      rules: [{ seconds: 0.05, label: 'hit' }],
    });
    expect([x.from, x.to]).toEqual([-100, 100]);
    expect(marks.at(-1)).toMatchObject({ kind: 'rule', axis: 'x', value: 50, label: 'hit' });
  });

  it('may be empty or silent', () => {
    for (const values of [[], [0], new Float64Array(5000)]) {
      expect(drawChart(waveformChart({ title: 'w', sampleRateHz, traces: [{ values }] }))).not.toMatch(/NaN|Infinity/);
    }
  });
});

describe('charts of levels', () => {
  it('show a response from the first to the last frequency, with a gap where there is nothing', () => {
    const drawn = frequencyResponseChart({
      title: 'r',
      frequenciesHz: [20, 200, 2000, 20_000],
      curves: [{ name: 'notch', levelsDb: [0, -Infinity, -3, 6] }],
    });
    expect([drawn.x.from, drawn.x.to, drawn.y.from, drawn.y.to]).toEqual([20, 20_000, -4, 6]);
    expect(pointsOf(drawChart(drawn), 'polyline').map((run) => run.length)).toEqual([1, 2]);
  });

  it('show a static curve beside the line of no change', () => {
    const inputDb = [-60, -20, 0];
    const { marks } = staticCurveChart({ title: 's', inputDb, curves: [{ name: '4:1', levelsDb: [-60, -20, -15] }] });
    expect(marks).toMatchObject([
      { name: 'unchanged', y: inputDb },
      { name: '4:1', y: [-60, -20, -15] },
    ]);
  });
});

describe('a correlation', () => {
  it('marks the chosen peak on the curve', () => {
    const values = [0, 0.1, -0.9, 0.2, 0];
    const { marks, x } = correlationChart({
      title: 'c',
      startSamples: -1,
      stepSamples: 0.5,
      values,
      chosenSamples: 0.06,
    });
    expect([x.from, x.to]).toEqual([-1, 1]);
    expect(marks).toMatchObject([
      { kind: 'line' },
      { kind: 'rule', value: 0.06, label: '0.06 samples' },
      { kind: 'points', x: [0.06], y: [-0.9] },
    ]);
  });
});
