/**
 * Three definitions of an attack time, side by side: as curves and as measured times.
 * @module
 */
import { Picture } from './chart.ts';
import { make } from './dom.ts';
import { ask } from './laboratory.ts';
import { SAMPLE_RATE_HZ } from './signals.ts';
import { figure } from './words.ts';

const colours = ['--output', '--gain', '--level'];
const columns = ['What is asked for', 'Time constant', '0 to 63.2 %', '10 to 90 %', '0 to 90 %'];

/** Fills the section. */
export function showAttackTimes(place: HTMLElement): void {
  const input = make('input', { id: 'attack-ms', type: 'number', min: 1, max: 200, step: 'any', value: 10 });
  const note = make('p', { class: 'fault', role: 'status' });
  const body = make('tbody');
  const head = make('thead', {}, make('tr', {}, ...columns.map((text) => make('th', { scope: 'col' }, text))));
  const picture = new Picture({
    title: 'Share of the way that the gain has gone after a step of level',
    xLabel: 'Time (ms)',
    yLabel: 'Share (%)',
    series: ['63 %', '10 to 90 %', '90 %'].map((name, i) => ({ name, colour: colours[i], width: 2 })),
    yRange: () => [0, 100],
    height: 220,
  });

  const update = async () => {
    const asked = Number(input.value);
    const allowed = asked >= 1 && asked <= 200;
    note.textContent = allowed ? '' : 'The attack time must be 1 to 200 ms.';
    if (!allowed) return;
    const times = await ask('attackTimes', asked);
    const percent = times.map(({ gone }) => gone.map((share) => 100 * share));
    const milliseconds = percent[0].map((_, i) => (1000 * (i + 1)) / SAMPLE_RATE_HZ);
    picture.show(
      [milliseconds, ...percent],
      times.map(({ name, measuredMs }) => `Asked as ${name}: 63.2 % after ${figure(measuredMs[0], 2)} ms`).join('; '),
    );
    body.replaceChildren(
      ...times.map(({ name, attackMs, measuredMs }, row) =>
        make(
          'tr',
          {},
          make('th', { scope: 'row' }, `${figure(asked)} ms, meant as ${name}`),
          make('td', {}, `${figure(attackMs, 2)} ms`),
          ...measuredMs.map((ms, column) => make('td', { class: row === column && 'asked' }, `${figure(ms, 2)} ms`)),
        ),
      ),
    );
  };
  input.addEventListener('input', () => void update());
  place.append(
    make('p', {}, make('label', { for: 'attack-ms' }, 'Attack time '), input, ' ms'),
    note,
    picture.element,
    make(
      'div',
      { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': 'Measured attack times' },
      make('table', {}, head, body),
    ),
  );
  void update();
}
