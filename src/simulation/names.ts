/**
 * The drums and microphones of the simulated kit, and the sides from which a stroke can be played.
 *
 * Eight drums, twelve microphones: the usual close set plus a ride microphone, a spaced pair above the kit and
 * a pair in the room.
 *
 * @module
 */

/** Everything that can be struck. `tom1` is the rack tom, `tom2` the floor tom. */
export const drumNames = ['kick', 'snare', 'hat', 'tom1', 'tom2', 'ride', 'crashLeft', 'crashRight'] as const;

/** A drum of the simulated kit. */
export type DrumName = (typeof drumNames)[number];

/** Everything that listens, in the order of a track list. */
export const microphoneNames = [
  'kickIn',
  'kickOut',
  'snareTop',
  'snareBottom',
  'hat',
  'tom1',
  'tom2',
  'ride',
  'overheadLeft',
  'overheadRight',
  'roomLeft',
  'roomRight',
] as const;

/** A microphone of the simulated kit. */
export type MicrophoneName = (typeof microphoneNames)[number];

/** How a drum is played. Only the hat knows more than `'normal'`, which for the hat means closed. */
export const strokeNames = ['normal', 'open', 'pedal'] as const;

/** A way to strike a drum. */
export type StrokeName = (typeof strokeNames)[number];
