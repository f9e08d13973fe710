/**
 * The prepared failures: what is wrong, what helps, and the figure that shows it.
 * @module
 */
import { make } from './dom.ts';
import { ask } from './laboratory.ts';
import type { Settings } from './settings.ts';
import { figure, sentence } from './words.ts';
import type { Catalogue } from './workshop.ts';

/** A card for each failure; `onShow` is called with the settings that a button stands for. */
export function failureCards(failures: Catalogue['failures'], onShow: (settings: Settings) => void): HTMLElement[] {
  return failures.map(({ name, title, fault, cure, figure: what, unit, faulty, cured }) => {
    const faultFigure = make('td', {}, '–'),
      cureFigure = make('td', {}, '–');
    const show = (settings: Settings) => {
      onShow(settings);
      void ask('failure', name).then((figures) => {
        [faultFigure, cureFigure].forEach((cell, i) => {
          cell.textContent = `${figure(figures[i], unit === '' ? 0 : 1)} ${unit}`.trim();
        });
      });
    };
    const button = (text: string, settings: Settings) => {
      const element = make('button', { type: 'button', 'aria-describedby': `failure-${name}` }, text);
      element.addEventListener('click', () => show(settings));
      return element;
    };
    return make(
      'article',
      { id: name },
      make('h3', { id: `failure-${name}` }, title),
      make('p', {}, fault),
      make('p', {}, make('b', {}, 'Cure: '), cure),
      make(
        'table',
        {},
        make('caption', {}, sentence(what)),
        make('tbody', {}, row('with the fault', faultFigure), row('cured', cureFigure)),
      ),
      make('p', { class: 'buttons' }, button('Show the fault', faulty), button('Show the cure', cured)),
    );
  });
}

function row(name: string, cell: HTMLElement): HTMLElement {
  return make('tr', {}, make('th', { scope: 'row' }, name), cell);
}
