/**
 * What every parameter means, by block and name, for the JSON schema of a plan and for whoever builds a user interface.
 * Written by `npm run docs:parameters` from the doc comments of the parameter tables: change those, not this.
 *
 * Over 300 lines because it is one list, read by machines.
 *
 * @module
 */

/** Descriptions by block name (`gate` for `gateParameters`) and parameter name. */
export const parameterDescriptions: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  bypass: {
    bypassed: 'Whether the delayed input is heard instead of the processor.',
  },
  delay: {
    delaySamples: 'How late the output is.',
    maximumSamples: 'Longest delay that can be set; memory is held for it.',
  },
  gain: {
    gainDb: 'Amplification; glides in the linear domain.',
  },
  midSide: {
    direction: 'From left and right to mid and side, or back.',
  },
  polarity: {
    inverted: 'Whether the signal is turned upside down.',
  },
  gate: {
    thresholdDb: 'Level that opens the gate.',
    hysteresisDb: 'How far below the threshold the level must fall before the gate may close.',
    rangeDb: 'Attenuation while closed.',
    attackMs: 'Time constant of opening.',
    holdMs:
      'Time below the closing level before closing. At least half a period of the lowest note (10 ms for 50 Hz): |x| falls to zero twice in every period.',
    releaseMs: 'Time constant of closing.',
    lookaheadMs: 'How long before a hit the gate begins to open: the latency of the block.',
    linkPercent: 'How far the channels open together, by the loudest of them.',
  },
  plan: {
    panLaw: 'How a single channel is spread over left and right; named by its gain at the centre.',
  },
  strip: {
    gainDb: 'Fader.',
    pan: 'Place between left (-1) and right (1).',
    widthPercent: 'Width of two channels: 0 is mono, 100 unchanged, 200 the side doubled.',
  },
  send: {
    gainDb: 'Level of the share that is sent.',
    tap: 'Where the share is taken: before or after the fader. The pan applies to both.',
  },
  mixBus: {
    gainDb: 'Fader of the whole mix.',
  },
  output: {
    sampleFormat: 'Encoding of the samples; integers are dithered.',
    maxTailSeconds: 'When a tail that never ends is cut.',
  },
  simulation: {
    sampleRateHz: 'Sample rate of everything.',
    seed: 'The same seed is the same kit, player and noise, bit for bit.',
    tempoBpm: 'Quarter notes per minute.',
    bars: 'Bars of four quarters, before one last stroke on the next.',
    timingMs: "Standard deviation of the player's timing; no stroke is out by more than three of them.",
    velocitySpread: "Standard deviation of the player's velocities, relative to what the pattern asks.",
    tailSeconds: 'Time after the last stroke.',
    temperatureC: 'Temperature of the room, degrees Celsius: sets the speed of sound.',
    humidityPercent: 'Relative humidity of the room: sets the loss of high frequencies.',
    peakDb: 'Peak that the loudest drum, struck once at velocity 1, reaches at every microphone.',
    noiseFloorDb: 'RMS of the noise of every microphone.',
  },
};
