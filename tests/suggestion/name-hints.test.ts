import { expect, it } from 'vitest';
import { nameHint } from '../../src/suggestion/name-hints.ts';

it.each<[string, ReturnType<typeof nameHint>]>([
  ['03 Snare Btm.wav', { role: 'snare', place: 'bottom' }],
  ['take 2/snareTop.wav', { role: 'snare', place: 'top' }],
  ['KickIn_01.WAV', { role: 'kick', place: 'inside' }],
  ['kick sub.wav', { role: 'kick', place: 'outside' }],
  ['BD.wav', { role: 'kick' }],
  ['OH_L.wav', { role: 'overhead', place: 'left' }],
  ['overheadRight.wav', { role: 'overhead', place: 'right' }],
  ['Room-R-02.wav', { role: 'room', place: 'right' }],
  ['Hi-Hat.wav', { role: 'hat' }],
  ['hh.wav', { role: 'hat' }],
  ['Floor Tom.wav', { role: 'tom', place: 'floor' }],
  ['tom1.wav', { role: 'tom' }],
  ['Rack 2.wav', { role: 'tom', place: 'rack' }],
  ['ride.wav', { role: 'ride' }],
  ['audio 17.wav', {}],
  ['Kicking Off/0001.wav', {}],
  ['chat.wav', {}],
])('%s', (file, hint) => {
  expect(nameHint(file)).toEqual(hint);
});
