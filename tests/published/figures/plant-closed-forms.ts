/**
 * A mass of 120 kg on 80 kN/m and 1500 N·s/m under a step of 1 kN: closed form of the damped oscillator, worked out in double
 * precision; scipy 1.17.1 and npm `odex` 2.0.4 agree. Samples are time, s, and way, mm.
 */
export const SPRING_MASS_DAMPER = {
  massKg: 120,
  stiffnessNPerM: 80000,
  dampingNsPerM: 1500,
  forceN: 1000,
  peakS: 0.12540272204849234,
  peakMm: 18.2085304798803,
  samples: [
    [0.01, 0.3976370690877987],
    [0.02, 1.5027822064666312],
    [0.05, 7.47188167819423],
    [0.1, 16.88901780044309],
    [0.2, 12.3025222113536],
    [0.5, 11.956763484776976],
  ],
} as const;
