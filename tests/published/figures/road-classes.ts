/**
 * Roughness classes of ISO 8608:2016 (class numbers from memory): geometric mean of Gd(n0) at n0 = 0.1 cycles/m, cm³, and RMS of the
 * heights from 0.05 to 10 cycles/m at waviness 2, mm: √[Gd(n0)·n0²·(1/n1 − 1/n2)], worked out in double precision.
 */
export const ROAD_CLASS_FIGURES: readonly { readonly name: string; readonly cm3: number; readonly rmsMm: number }[] = [
  { name: 'A', cm3: 16, rmsMm: 1.78437664186 },
  { name: 'C', cm3: 256, rmsMm: 7.13750656742 },
  { name: 'E', cm3: 4096, rmsMm: 28.5500262697 },
];
