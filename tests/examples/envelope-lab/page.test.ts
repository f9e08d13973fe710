/** The page as people use it: clicks, keys, files, links. */
import { gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { failures, measureFailure } from '../../../examples/envelope-lab/src/failures.ts';
import { toHash } from '../../../examples/envelope-lab/src/settings.ts';
import type { Sound } from '../../../examples/envelope-lab/src/render.ts';
import { makeSound } from '../../../examples/envelope-lab/src/sources.ts';
import { makeSignal } from '../../../examples/envelope-lab/src/signals.ts';
import { expansionCurve, staticCurve } from '../../../src/dynamics/static-curve.ts';
import { drawChart } from '../../../src/plots/draw-charts.ts';
import { staticCurveChart } from '../../../src/plots/level-charts.ts';
import { compress, computed, follow, type Lab, openLab, saved, STEP } from './lab-page.ts';
import { testPageWithSound } from './page-with-sound.ts';

let lab: Lab;
let page: Page; // for all that leaves nothing behind but settings
beforeAll(async () => {
  lab = await openLab();
  page = await lab.open(STEP);
});
afterAll(async () => {
  expect(lab.complaints).toEqual([]);
  await lab.close();
});

/** The address follows the settings after a moment. */
const expectLink = (hash: string) => page.waitForFunction((link) => location.hash === link, hash, { timeout: 10_000 });
const text = (id: string) => page.locator(`#${id}`).textContent();
describe('the first load', () => {
  it('is below 300 kB compressed, without audio, and asks for nothing else', () => {
    const bytes = [...lab.files.values()].reduce((sum, file) => sum + gzipSync(file).length, 0);
    console.log(`envelope lab: ${lab.files.size} files, ${(bytes / 1000).toFixed(1)} kB compressed`);
    expect(lab.files.size).toBeGreaterThanOrEqual(4);
    expect(bytes).toBeLessThan(300_000);
    expect([...lab.files.keys()].filter((name) => !/\.(html|js|css)$/.test(name))).toEqual([]);
  });
});

describe('blocks and parameters', () => {
  it('a block is chosen, its parameter moved by keys, and the figures follow', async () => {
    await follow(page, '#source=kit&microphone=kickIn&block=compressor');
    await page.selectOption('#block-name', 'gate');
    await computed(page);
    await page.locator('#parameter-holdMs').focus();
    await page.keyboard.press('Home'); // no hold
    await page.locator('#parameter-hysteresisDb').focus();
    await page.keyboard.press('Home');
    await page.locator('#parameter-releaseMs').focus();
    await page.keyboard.press('Home');
    for (let press = 0; press < 8; press++) await page.keyboard.press('ArrowRight');
    await page.locator('#parameter-thresholdDb-number').fill('-30');
    await computed(page);
    expect(await page.locator('#parameter-holdMs-number').inputValue()).toBe('0');
    // 5000 ms (8/240)^2 by the square taper, to three digits.
    expect(await page.locator('#parameter-releaseMs-number').inputValue()).toBe('5.56');
    expect(await page.locator('#parameter-releaseMs').getAttribute('aria-valuetext')).toBe('5.56 ms');
    await expectLink('#source=kit&microphone=kickIn&block=gate&holdMs=0&hysteresisDb=0&releaseMs=5.56&thresholdDb=-30');
    expect(
      Number(await page.locator('#figures div', { hasText: 'Openings' }).locator('dd').textContent()),
    ).toBeGreaterThan(30);
    await page.click('#defaults');
    await expectLink('#source=kit&microphone=kickIn&block=gate');
  });

  it('a value out of range is refused in words, and the last good one stays', async () => {
    await follow(page, STEP);
    await page.locator('#parameter-ratio-number').fill('0.5');
    expect(await text('parameter-ratio-range')).toBe('Ratio must be 1 to 1000.');
    expect(await page.locator('#parameter-ratio-number').getAttribute('aria-invalid')).toBe('true');
    await page.waitForTimeout(400); // longer than the link takes
    expect(page.url()).not.toContain('ratio');
    // Two values that do not fit each other are refused by the library.
    await page.selectOption('#block-name', 'delay');
    await page.locator('#parameter-delaySamples-number').fill('50000');
    await page.waitForFunction(() => document.getElementById('message')?.textContent !== '');
    expect(await text('message')).toBe('block.delaySamples must be 0 to 48000 (maximumSamples), got 50000');
  });

  it('every block computes with every kind of sound that it meets', async () => {
    await follow(page, '#source=burst');
    const blocks = await page
      .locator('#block-name option')
      .evaluateAll((all) => all.map((o) => (o as HTMLOptionElement).value));
    expect(blocks.length).toBeGreaterThan(20);
    for (const block of blocks) {
      await page.selectOption('#block-name', block);
      await computed(page);
      expect(await text('message'), block).toBe('');
      expect(await page.locator('#equations math').count(), block).toBeGreaterThan(0);
    }
  });

  it('the moment moves the point, and says where it is', async () => {
    await follow(page, STEP);
    await page.locator('#moment').fill('400'); // 0.96 s, well into the step
    const { gainDb } = compress(makeSignal('step', { levelDb: -6, frequencyHz: 1000 }), 48_000, { thresholdDb: -30 });
    const gain = gainDb[46_080].toFixed(1).replace('-', '\u2212');
    expect(await text('moment-values')).toContain(`level \u22126.0 dB, gain ${gain} dB`);
    expect(await page.locator('.mark:visible').count()).toBe(5);
  });

  it('three attack times are asked and measured', async () => {
    await follow(page, STEP);
    await page.locator('#attack-ms').fill('20');
    await page.waitForFunction(() => document.querySelector('#attack td.asked')?.textContent === '20.00 ms');
    expect(await page.locator('#attack td.asked').allTextContents()).toEqual(['20.00 ms', '20.00 ms', '20.00 ms']);
  });
});

describe('links', () => {
  it('carry the settings from page to page, and say what does not fit', async () => {
    await follow(page, '#source=sine&signalFrequencyHz=200&block=expander&ratio=3&kneeDb=99');
    expect(await page.locator('#source').inputValue()).toBe('sine');
    expect(await page.locator('#signal-frequencyHz-number').inputValue()).toBe('200');
    expect(await page.locator('#parameter-ratio-number').inputValue()).toBe('3');
    expect(await text('link-faults')).toBe('The link was not followed in all: kneeDb must be 0 to 40, got 99.');
    await expectLink('#source=sine&signalLevelDb=-6&signalFrequencyHz=200&block=expander&ratio=3');
    const next = await lab.open(new URL(page.url()).hash);
    expect(await next.locator('#block-name').inputValue()).toBe('expander');
    expect(await next.locator('#parameter-ratio-number').inputValue()).toBe('3');
    expect(await next.locator('#link-faults').textContent()).toBe('');
    await next.close();
  });
});

describe('exports', () => {
  it('the trace is that of the library, to the last digit', async () => {
    await follow(page, STEP);
    const [head, ...rows] = (await saved(page, 'csv')).trim().split('\n');
    expect(head).toBe('time_s,input,output,detector_dB,gain_dB');
    const input = makeSignal('step', { levelDb: -6, frequencyHz: 1000 });
    const { output, levelDb, gainDb } = compress(input, 48_000, { thresholdDb: -30 });
    expect(rows.length).toBe(input.length);
    rows.forEach((row, i) => {
      const expected = `${i / 48_000},${input[i]},${output[i]},${levelDb[i]},${gainDb[i]}`;
      if (row !== expected) expect.fail(`row ${i}: ${row}, not ${expected}`);
    });
  });

  it('a part of the time is chosen by dragging', async () => {
    await follow(page, STEP);
    const plot = page.locator('.u-over').first();
    await plot.scrollIntoViewIfNeeded();
    const box = await plot.boundingBox();
    if (!box) throw new Error('the picture has no place');
    await page.mouse.move(box.x + box.width / 4, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2, { steps: 4 });
    await page.mouse.up();
    // A quarter and a half of 2.4 s, to a pixel.
    expect(Math.abs(Number(await page.locator('#from').inputValue()) - 0.6)).toBeLessThan(0.01);
    expect(Math.abs(Number(await page.locator('#to').inputValue()) - 1.2)).toBeLessThan(0.01);
    await page.click('#whole');
    expect(await page.locator('#to').inputValue()).toBe('2.4');
  });

  it('a part of the time gives a part of the trace', async () => {
    await follow(page, STEP);
    await page.fill('#from', '0.5');
    await page.fill('#to', '0.51');
    await page.keyboard.press('Tab');
    const rows = (await saved(page, 'csv')).trim().split('\n');
    expect(rows.length).toBe(1 + 480);
    expect(rows[1].startsWith('0.5,')).toBe(true);
  });

  it.each([
    ['compressor', 'thresholdDb=-30', (x: number) => staticCurve(x, { thresholdDb: -30, ratio: 4, kneeDb: 6 })],
    ['expander', 'ratio=3', (x: number) => expansionCurve(x, { thresholdDb: -40, ratio: 3, kneeDb: 6, rangeDb: 40 })],
  ])('the pictures of a %s hold its static curve', async (block, options, curve) => {
    await follow(page, `#source=step&block=${block}&${options}`);
    const svg = await saved(page, 'svg');
    for (const title of ['Input', 'Output', 'Detector', 'Gain', 'Static curve']) expect(svg).toContain(`>${title}<`);
    expect(svg).toContain(`block=${block}, ${options}`);
    expect(svg.startsWith('<svg xmlns="http://www.w3.org/2000/svg"')).toBe(true);
    const inputDb = Float64Array.from({ length: 181 }, (_, i) => -90 + i / 2);
    const chart = staticCurveChart({
      title: 'Static curve',
      width: 760,
      height: 420,
      inputDb,
      curves: [{ name: block, levelsDb: inputDb.map(curve) }],
    });
    const lines = drawChart(chart).match(/<polyline[^>]*>/g) ?? [];
    expect(lines).toHaveLength(2);
    for (const line of lines) expect(svg).toContain(line);
  });
});

describe('prepared failures', () => {
  it('set the page, and show the figure with the fault and with the cure', async () => {
    await follow(page, STEP);
    for (const { name, faulty } of failures) {
      await page.locator(`#${name} button`).first().click();
      await page.waitForFunction((id) => document.querySelector(`#${id} td`)?.textContent !== '–', name);
      expect(await page.locator('#block-name').inputValue()).toBe(faulty.block);
      await expectLink(toHash(faulty));
    }
    // The same figures as in Node, for the one whose sound is quickly made.
    const alias = failures.find(({ name }) => name === 'alias');
    const expected = alias && measureFailure(alias, (settings) => makeSound(settings) as Sound);
    const shown = await page.locator('#alias td').allTextContents();
    expect(shown).toEqual(expected?.map((value) => `\u2212${Math.abs(value).toFixed(1)} dB`));
    expect(await page.locator('#flam td').allTextContents()).toEqual(['25.0 ms', '0.0 ms']);
    await page.locator('#comb button').last().click();
    expect(await page.locator('#dry').inputValue()).toBe('inTime');
  });
});

testPageWithSound(() => lab);
