/**
 * The pictures of the documentation: every block has one, what is measured lies on what the equation says, and the files
 * in `docs/plots/` are what this draws. `npm run docs:plots` writes them anew.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { expect, it } from 'vitest';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { drawChart } from '../../src/plots/draw-charts.ts';
import { blockPlots } from './block-plots.ts';

const folder = resolve(import.meta.dirname, '../../docs/plots');
const write = process.env['WRITE_PLOTS'] !== undefined;

it('has a picture of every block', () => {
  expect(Object.keys(blockPlots).sort()).toEqual(Object.keys(blockTypes).sort());
});

it.each(Object.entries(blockPlots))('%s does what its equation says, and its picture is of today', (name, plot) => {
  const { chart, distance, allowed } = plot();
  expect(distance).toBeLessThanOrEqual(allowed);
  const svg = `${drawChart(chart)}\n`;
  expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  const file = resolve(folder, `${name}.svg`);
  if (write) {
    mkdirSync(folder, { recursive: true });
    writeFileSync(file, svg);
  }
  expect(existsSync(file)).toBe(true);
  expect(readFileSync(file, 'utf8')).toBe(svg);
});
