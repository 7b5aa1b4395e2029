/** A second-order section: b0, b1, b2, a1, a2, with a0 = 1. */
export type Section = readonly [number, number, number, number, number];

/** Second-order Butterworth low-passes: scipy 1.17.1 `signal.butter(2, cornerHz, fs=rateHz)`; GNU Octave 7.3 agrees to 1e-14. */
export const BUTTERWORTH: readonly { readonly rateHz: number; readonly cornerHz: number; readonly section: Section }[] = [
  {
    rateHz: 1000,
    cornerHz: 5,
    section: [0.00024135904904198078, 0.00048271809808396156, 0.00024135904904198078, -1.9555782403150352, 0.9565436765112031],
  },
  {
    rateHz: 1000,
    cornerHz: 10,
    section: [0.0009446918438401507, 0.0018893836876803015, 0.0009446918438401507, -1.911197067426073, 0.9149758348014336],
  },
  {
    rateHz: 1000,
    cornerHz: 20,
    section: [0.0036216815149286417, 0.007243363029857283, 0.0036216815149286417, -1.822694925196308, 0.8371816512560226],
  },
  {
    rateHz: 500,
    cornerHz: 4,
    section: [0.0006098547187172994, 0.0012197094374345988, 0.0006098547187172994, -1.9289422632520332, 0.9313816821269024],
  },
];

/** Notch of 12 Hz and Q 3 at 1 kHz: W3C Note “Audio EQ Cookbook” (2021-06-08), notch, worked out in double precision. */
export const NOTCH_12_HZ: Section = [0.9876011928346978, -1.9695906386862354, 0.9876011928346978, -1.9695906386862354, 0.9752023856693954];
/** Notch of 50 Hz and Q 10 at 1 kHz, from the same source. */
export const NOTCH_50_HZ: Section = [0.9847842466003875, -1.873170949748224, 0.9847842466003875, -1.873170949748224, 0.9695684932007752];
