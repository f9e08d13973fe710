import { describe, expect, it } from 'vitest';
import { drawChart } from '../../src/plots/draw-charts.ts';
import { mapChart } from '../../src/plots/map-chart.ts';
import { attributesOf, elementsOf } from './svg-reader.ts';

const bands = [
  { fromHz: 100, toHz: 200 },
  { fromHz: 200, toHz: 400 },
];
const steps = [
  { name: 'low', colour: 1, from: -10 },
  { name: 'high', colour: 0, from: 0 },
];
const options = { title: 'A map', columnSeconds: 0.5, bands, steps };

describe('a map', () => {
  it('gives every cell the colour of its step, and joins neighbours in time', () => {
    const values = [
      [-10, -5, 0, null],
      [7, 7, 7, -11],
    ];
    const { marks } = mapChart({ ...options, values });
    expect(marks).toMatchObject([
      { kind: 'cells', name: 'low', cells: [{ fromX: 0, toX: 1, fromY: 100, toY: 200 }] },
      {
        kind: 'cells',
        name: 'high',
        cells: [
          { fromX: 1, toX: 1.5, fromY: 100, toY: 200 },
          { fromX: 0, toX: 1.5, fromY: 200, toY: 400 },
        ],
      },
    ]);
  });

  it('is drawn as a path for each step: time to the right, frequency upwards', () => {
    const chart = mapChart({ ...options, values: [[-5], [5]] });
    const svg = drawChart(chart);
    const [low, high] = elementsOf(svg, 'path').map(attributesOf);
    expect(low.class).toBe('plot-cells plot-c1');
    const [, frame] = elementsOf(svg, 'svg').map(attributesOf); // the inside of the frame
    const half = String(Math.round(Number(frame.height) * 5) / 10);
    expect(low.d).toBe(`M0,${half}H${frame.width}V${frame.height}H0Z`);
    expect(high.d).toBe(`M0,0H${frame.width}V${half}H0Z`);
    expect(svg).toContain('>low</text>');
  });

  it('leaves out what has no cell, and refuses a map of nothing', () => {
    expect(elementsOf(drawChart(mapChart({ ...options, values: [[null], [null]] })), 'path')).toEqual([]);
    expect(() => mapChart({ ...options, bands: [], values: [] })).toThrow(RangeError);
    expect(() => mapChart({ ...options, values: [[], []] })).toThrow(RangeError);
  });
});
