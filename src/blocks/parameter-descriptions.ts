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
  compressor: {
    thresholdDb: 'Level above which the gain falls: the middle of the knee.',
    ratio:
      'dB of input for each dB of output above the threshold. 1000 stands for infinity: +20 dB come out as +0.02 dB.',
    kneeDb: 'Width of the knee, half of it below the threshold.',
    attackMs: 'Time constant of the gain, in dB, while it falls.',
    releaseMs: 'Time constant of the gain, in dB, while it rises.',
    slowReleaseMs:
      'Time constant in which a lasting reduction is given back, as by a hand that follows the programme: short hits are released in `releaseMs`, dense passages in this time. 0 leaves all to `releaseMs`.',
    rangeDb: 'Most that the gain is reduced by.',
    makeupDb: 'Gain added to the output.',
    automaticMakeup: 'Adds half of the gain reduction that a level of 0 dBFS would have at rest.',
    detector: 'Whether the level is the magnitude of each sample or the root of the mean square.',
    rmsMs: 'Time constant of the mean square.',
    lookaheadMs: 'How long before a hit the gain begins to fall: the latency of the block.',
    linkPercent: 'How far the channels move together: towards the lowest of their gains.',
    mixPercent: 'Share of the compressed signal in the output; the rest is the input, in time with it.',
  },
  dynamicBand: {
    shape: 'What the band does; shelves are of first order.',
    frequencyHz: 'Centre or corner.',
    q: "Quality factor of a bell's poles: the narrower the band, the higher.",
    gainDb: 'Gain of the band at rest.',
    thresholdDb: 'Level of the band above which its gain moves: the middle of the knee.',
    ratio:
      'dB of input for each dB of output above the threshold, when the gain moves down; as steep when it moves up.',
    kneeDb: 'Width of the knee, half of it below the threshold.',
    rangeDb: 'Where the gain moves to, and how far at most: below 0 what is loud is turned down, above 0 up.',
    attackMs: 'Time constant of the gain, in dB, on its way from rest.',
    releaseMs: 'Time constant of the gain, in dB, on its way back.',
    lookaheadMs: 'How long before a hit the gain begins to move: the latency of the block.',
    linkPercent: 'How far the channels move together: towards the lowest of their gains.',
  },
  envelopeFollower: {
    detector: 'What is smoothed: the magnitude, or the root of the mean square, Eqs (9) and (10).',
    smoothing: 'How it is smoothed: Eq. (12), (14), (15), (16) or (17), in this order.',
    attackMs: 'Time constant of rising.',
    releaseMs: 'Time constant of falling.',
    rmsMs: 'Time constant of the mean square.',
  },
  expander: {
    thresholdDb: 'Level below which the gain falls: the middle of the knee.',
    ratio: 'dB of output for each dB of input below the threshold.',
    kneeDb: 'Width of the knee, half of it above the threshold.',
    rangeDb: 'Most that the gain is reduced by.',
    attackMs: 'Time constant of the gain, in dB, while it rises.',
    holdMs:
      'How long the gain stays after the last sample that asked for it. At least half a period of the lowest note (10 ms for 50 Hz): |x| falls to zero twice in every period.',
    releaseMs: 'Time constant of the gain, in dB, while it falls.',
    lookaheadMs: 'How long before a hit the gain begins to rise: the latency of the block.',
    linkPercent: 'How far the channels move together, by the loudest of them.',
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
  limiter: {
    ceilingDb: 'Highest magnitude of an output sample, in dBFS.',
    releaseMs: 'Time constant with which the linear gain returns to 1.',
    lookaheadMs: 'How long before a peak the gain begins to fall, and the time it takes: the latency of the block.',
    linkPercent: 'How far the channels move together: towards the lowest of their gains.',
    truePeak: 'Bounds the waveform between the samples too, within 0.1 dB if the look-ahead is 24 samples or more.',
  },
  transientShaper: {
    attackDb: 'Gain of the very begin of a hit.',
    sustainDb:
      'Gain of what rings on after a hit, once it has fallen far below it: of what lies between the hits, too.',
    attackMs: "Time constant in which the attack's share of the gain fades.",
    sustainMs: 'Time constant in which the level of the hit is forgotten: longer for drums that ring long.',
    smoothingMs: 'Time constant of the gain in dB.',
    holdMs:
      'How long a peak is held: half a period of the lowest note (10 ms for 50 Hz), which then is no transient. The level falls with this time constant, too.',
    lookaheadMs: 'How long before a hit the gain begins to move: the latency of the block.',
    linkPercent: 'How far the channels move together: towards the lowest of their gains.',
  },
  upwardCompressor: {
    thresholdDb: 'Level below which the gain rises: the middle of the knee.',
    ratio: 'dB of input for each dB of output below the threshold.',
    kneeDb: 'Width of the knee, half of it above the threshold.',
    rangeDb: 'Most that the gain is raised by, noise between the hits included.',
    attackMs: 'Time constant of the gain, in dB, while it falls back for a hit.',
    holdMs:
      'How long the gain stays after the last sample that asked for it. At least half a period of the lowest note (10 ms for 50 Hz): |x| falls to zero twice in every period.',
    releaseMs: 'Time constant of the gain, in dB, while it rises.',
    lookaheadMs: 'How long before a hit the gain begins to fall: the latency of the block.',
    linkPercent: 'How far the channels move together, by the loudest of them.',
  },
  bandSplit: {
    firstHz: 'Where the first band ends and the second begins: -6 dB in each.',
    secondHz: 'Where the second band ends and the third begins, above `firstHz`.',
    thirdHz: 'Where the third band ends and the fourth begins, above `secondHz`.',
  },
  dcBlocker: {
    cornerHz: 'Where the gain is -3.01 dB. At 5 Hz a 40 Hz tone loses 0.07 dB.',
  },
  equaliserBand: {
    type: 'What the band does: the design function of that name.',
    frequencyHz: 'Corner or centre.',
    q: 'Quality factor: the narrower the band, the higher. For types of second order.',
    gainDb: 'Gain of a bell or a shelf.',
    order:
      'Order of a `lowpass` or `highpass`: 6 dB/octave each. Other than 2, the filter is a Butterworth one and `q` does nothing.',
  },
  fractionalDelay: {
    delaySamples: 'How late the output is, besides the latency.',
    maximumSamples: 'Longest delay that can be set; memory is held for it.',
  },
  monoBelow: {
    frequencyHz: 'Where the side has -6 dB; it falls by 24 dB/octave below.',
  },
  phaseRotator: {
    frequencyHz: 'Where half of the turn is done.',
    q: 'Quality factor of the sections of second order: the higher, the narrower the turn.',
    order: 'Half turns in all.',
  },
  detectHits: {
    riseDb:
      'Rise that makes an onset, as in `OnsetDetector`; twice this with a single microphone, which has nothing else to go by.',
    minimumDistanceMs: 'No two hits of a drum are closer: of those that are, the loudest counts.',
    floorDb: 'Level of what counts as silence.',
    leastConfidence:
      'Least confidence of a hit: the share of the energy that is new times the share that bleed does not explain.',
    overBleedDb:
      'How far a hit must stand above what bleed explains, besides, if another microphone has heard something sooner.',
    loudestDb: 'Level that becomes velocity 127.',
    rangeDb: 'Distance in level from velocity 1 to velocity 127.',
  },
  hitKey: {
    decayMs: 'How long the key of a hit takes to fall by 60 dB.',
  },
  layer: {
    mode: 'Whether the sample is added to the microphone, or takes its place.',
    gainDb: 'Peak of the sample over that of the hit (`velocityDb`).',
    followPercent: "How far the sample's level follows that of the hits: at 0 every hit has the level of the loudest.",
    lowBlendPercent: 'Share of the sample below the crossover.',
    highBlendPercent: 'Share of the sample above the crossover.',
    crossoverHz: 'Where the two bands meet.',
    lowBandHz: 'Upper end of the low band in which sample and microphone shall add up.',
    maximumOffsetMs: 'How far a sample may be moved for the best sum, to both sides.',
    choke: 'Whether a hit ends the sample of the hit before it.',
    chokeMs: 'Length of the fade by which it ends.',
    duckRangeDb: 'Attenuation of the microphone under a hit that a sample replaces.',
    duckAttackMs: 'How long the microphone fades out; it is down when the hit comes.',
    duckHoldMs: 'How long it stays down after the hit.',
    duckReleaseMs: 'How long it takes to come back.',
    seed: 'Same seed, same choice of samples.',
  },
  bleed: {
    strength:
      'b: 0 keeps the drum as it is; more removes more of the bleed, and some of the drum where the bleed is louder.',
    soundingMs: 'How long after a hit a frame still holds the drum: frames that touch it teach how the drum is heard.',
    fadedMs: 'How long after a hit the drum has faded into the bleed: frames from there on teach what the bleed is.',
  },
  onsetDetector: {
    lowHz: 'Lower limit of the key band.',
    highHz: 'Upper limit of the key band, above the lower.',
    riseDb: 'Rise that makes an onset, averaged over the key band, above the average rise of the last 53 ms.',
    minimumDistanceMs: 'No two onsets are closer: of those that are, the greatest rise counts.',
    floorDb: 'Level of what counts as silence.',
  },
  velocityCurve: {
    loudestDb: 'Level that becomes velocity 127.',
    rangeDb:
      'Distance in level from velocity 1 to velocity 127; beyond 84 dB b would be negative, and the curve turn back.',
  },
  alignment: {
    method:
      'What moves: the close microphones to the overheads, the overheads to the reference microphone of a drum, or nothing but what is set by hand. Microphones of one drum always move to each other.',
    maxMoveMs: 'Farthest that a microphone moves; what would have to move farther stays.',
    maxDistanceMetres:
      'How much farther the sound may have to one microphone than to the other: delays beyond are not looked for.',
    temperatureC: 'Of the air between, in degrees Celsius.',
  },
  alignmentMove: {
    delaySamples: 'How much later the microphone sounds, at the sample rate of the inputs; negative: earlier.',
    polarity: '-1 inverts the microphone.',
  },
  reference: {
    startSeconds: 'Where it begins.',
    endSeconds: 'Where it ends, after its beginning; the end of the file if that comes first.',
  },
  context: {
    gainDb: 'Level at which the stem plays beside the mix.',
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
    highpassHz:
      'Corner of a fourth-order Butterworth high-pass in this send alone: keeps a kick, say, out of a reverberation. 0 passes everything; else 10 or more.',
  },
  mixBus: {
    gainDb: 'Fader of the whole mix.',
  },
  output: {
    sampleFormat: 'Encoding of the samples; integers are dithered.',
    maxTailSeconds: 'When a tail that never ends is cut.',
  },
  convolutionReverb: {
    preDelayMs: 'Silence between the dry sound and the beginning of the response, exact to the sample.',
    gainDb: 'Level of the reverberation.',
    mixPercent: 'Share of the reverberation in the output; 100 for a send, which adds the dry sound elsewhere.',
    normalised:
      'Whether the response is scaled so that white noise comes out as loud as it went in; else it is taken as it is.',
    zeroLatency:
      'Whether the response begins at once; else it comes `partitionSamples` late, which is the latency, at less cost.',
    partitionSamples:
      'Length of a partition: the longer, the fewer products per sample and the more memory in use at a time.',
  },
  decay: {
    compensateNoise:
      'Whether background noise is found, taken off and the decay continued in its place: for measured responses.',
  },
  echoDensity: {
    windowMs: 'Length of the window.',
    hopMs: 'From window to window.',
  },
  feedbackReverb: {
    lengthMetres: 'Length of the room.',
    widthMetres: 'Width of the room.',
    heightMetres: 'Height of the room.',
    absorptionPercent: 'Share of the energy that a wall takes from an early reflection.',
    earlyPercent: "Share of the early reflections in the energy of the reverberation; the rest is the network's.",
    preDelayMs:
      'Silence between the dry sound and the place of the direct sound in the reverberation, exact to the sample.',
    decaySeconds: 'Time in which a band of 100 % falls by 60 dB.',
    decay125HzPercent:
      'Decay at 125 Hz and below, as a share of `decaySeconds`; neighbouring octaves differ by a factor of 2 at most.',
    decay250HzPercent: 'Decay at 250 Hz.',
    decay500HzPercent: 'Decay at 500 Hz.',
    decay1000HzPercent: 'Decay at 1 kHz.',
    decay2000HzPercent: 'Decay at 2 kHz.',
    decay4000HzPercent: 'Decay at 4 kHz.',
    decay8000HzPercent: 'Decay at 8 kHz and above.',
    diffusionPercent: 'How far the allpasses smear what enters the network: their gain is 0.7 at 100 %.',
    lines: 'Delay lines of the network: twice as many cost twice as much, and have twice the resonances and echoes.',
    modulationPercent: 'How far the lines are turned into each other, back and forth: 100 % is a quarter turn.',
    modulationHz: 'How often per second.',
    highpassHz: 'Corner of the second-order Butterworth high-pass in front: what lies below makes no reverberation.',
    lowpassHz: 'Corner of the second-order Butterworth low-pass in front.',
    tail: 'Whether the dry sound opens the reverberation while it lasts (gate), turns it down (duck), or leaves it free.',
    tailThresholdDb: 'Level of the dry sound from which on it lasts, for gate and duck.',
    tailRangeDb: 'How far a closed gate or a duck turns the reverberation down.',
    tailHoldMs: 'How long the dry sound lasts after it has fallen below the threshold.',
    tailReleaseMs: 'Time constant of the gain when the dry sound has ended.',
    mixPercent: 'Share of the reverberation in the output; 100 for a send, which adds the dry sound elsewhere.',
  },
  schroederReverb: {
    preDelayMs: 'Silence between the dry sound and the beginning of its reverberation, exact to the sample.',
    decaySeconds: 'Time in which the lowest frequencies fall by 60 dB.',
    decayHighSeconds: 'The same at half the sample rate; frequencies in between lie between the two.',
    density:
      'Combs of each channel: 4, 8 or 12. Each adds 28 echoes per second before the allpasses multiply them, and 0.036 resonances per hertz: sums of 1 / delay and of delay.',
    widthPercent: '0: the same tail in all channels. 100: tails that have nothing in common.',
    highpassHz:
      'Corner of the second-order Butterworth high-pass in front of the tanks: what lies below makes no tail.',
    lowpassHz: 'Corner of the second-order Butterworth low-pass in front of the tanks.',
    mixPercent: 'Share of the reverberation in the output; 100 for a send, which adds the dry sound elsewhere.',
  },
  hardClipper: {
    driveDb: 'Gain in front of the curve.',
    ceilingDb: 'Level that the curve never passes, in dBFS, at the high rate.',
    oversampling: 'Times the sample rate at which the curve runs.',
    antialiasing: 'What is done against harmonics that fold back, besides the oversampling.',
    guard:
      'Whether a second clip at the base rate keeps the clipped share below the ceiling, at the cost of some alias.',
    mixPercent: 'Share of the clipped signal in the output; the rest is the input, in time with it.',
  },
  hysteresis: {
    driveDb: 'Field that a sample of 0 dBFS makes, over the shape parameter a of the material.',
    reversiblePercent: 'Share c of the magnetisation that bends without friction, and so passes of a quiet signal.',
    pinning: 'Half width k of the loop, in units of a: how much field it takes to move on.',
    coupling:
      'Mean field alpha, in units of a / Ms: how much magnetised domains help each other; below 0.45 (1 - c) k.',
    dcCornerHz: 'Where the gain of the DC block behind the material is -3.01 dB.',
    outputGainDb: 'Gain behind everything but the dry share.',
    oversampling: 'Times the sample rate at which the equation is solved.',
    mixPercent: 'Share of the magnetised signal in the output; the rest is the input, in time with it.',
  },
  saturator: {
    driveDb: 'Gain in front of the curve.',
    curve: 'Shape of the bend.',
    biasPercent:
      "Shift of the operating point, in percent of the curve's ceiling: bends one half of the signal sooner.",
    evenPercent:
      'Weight of the even harmonics that curve and bias make: 0 is none of them, 100 as many as come, 200 twice as many.',
    tiltDb: 'Highs over lows in front of the curve; taken back behind it.',
    tiltHz: 'Where the tilt turns: highs above, lows below.',
    dcCornerHz: 'Where the gain of the DC block behind the curve is -3.01 dB.',
    levelMatch: "Whether the output is held at the input's level for a hit of `hitLevelDb`.",
    hitLevelDb: 'Peak level of the hits for which the level match holds, in dBFS.',
    outputGainDb: 'Gain behind everything but the dry share.',
    oversampling: 'Times the sample rate at which the curve runs.',
    mixPercent: 'Share of the saturated signal in the output; the rest is the input, in time with it.',
  },
  softClipper: {
    driveDb: 'Gain in front of the curve.',
    ceilingDb: 'Level that the curve never passes, in dBFS, at the high rate.',
    oversampling: 'Times the sample rate at which the curve runs.',
    antialiasing:
      'What is done against harmonics that fold back, besides the oversampling. `cornerCorrection` needs the cubic curve.',
    guard:
      'Whether a second clip at the base rate keeps the clipped share below the ceiling, at the cost of some alias.',
    mixPercent: 'Share of the clipped signal in the output; the rest is the input, in time with it.',
    curve: 'Shape of the bend.',
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
