// SPDX-License-Identifier: GPL-3.0-or-later
// The piece document as the page sees it (docs/piece.md describes it in full,
// docs/piece.schema.json exactly).  Only what the page reads is named; what
// it does not know it carries along untouched.

/** A number of the document: it may be written as text, "2,5". */
export type Num = number | string;
/** One number (flat) or 36 of them, 380 to 730 nm. */
export type Spectrum = Num | Num[];

export interface CaliperPoint {
  diameter_mm: Num;
  height_mm: Num;
}
export interface Shrinkage {
  diameter_percent: Num;
  height_percent: Num;
}
export interface Form {
  id?: string;
  name?: string;
  from?: unknown;
  measured?: 'thrown' | 'leather-hard' | 'fired';
  outside: CaliperPoint[];
  inside?: CaliperPoint[];
  to_leather_hard?: Shrinkage;
  to_fired?: Shrinkage;
}
export interface Body {
  id?: string;
  name?: string;
  reflectance: Spectrum;
  density_g_cm3?: Num;
  invented?: boolean;
  [key: string]: unknown;
}
export interface Glaze {
  id?: string;
  name?: string;
  index?: Num;
  absorption_m2_g?: Spectrum;
  eats_g_m2?: Num;
  dissolved_share?: Num;
  invented?: boolean;
  [key: string]: unknown;
}
export interface Window {
  least_g_m2: Num;
  best_g_m2?: Num;
  most_g_m2: Num;
  safer_side?: 'thin' | 'thick';
  why?: string;
}
export interface Recipe {
  kind?: string;
  lines: { material: string; parts: Num }[];
  additions?: { material: string; percent: Num }[];
}
export interface Slip {
  id: string;
  name?: string;
  recipe?: Recipe;
  absorption_m2_g: Spectrum;
  scattering_m2_g: Spectrum;
  uncertainty_percent?: Num;
  bleed_mm?: Num;
  bleed_error_mm?: Num;
  litre_weight_g: Num;
  solids_density?: Num;
  coat_g_m2: Num;
  window?: Window;
  ground?: boolean;
  invented?: boolean;
  optics_from?: string;
  note?: string;
  [key: string]: unknown;
}
export interface Brush {
  id: string;
  name?: string;
  width_mm: Num;
}
export interface Zone {
  id: string;
  name?: string;
  kind?: 'band' | 'disc';
  face?: 'outside' | 'inside';
  from_mm: Num;
  to_mm: Num;
}
export interface PathPoint {
  x_mm: Num;
  y_mm: Num;
  width_mm?: Num;
  coat_g_m2?: Num;
}
export interface Pen {
  x?: number[];
  y?: number[];
  pressure?: number[];
  tilt_x?: number[];
  tilt_y?: number[];
  time_ms?: number[];
}
export type MarkKind =
  'stroke' | 'dab' | 'line' | 'dot' | 'fill' | 'banding line' | 'sgraffito';
export interface Mark {
  id: string;
  kind: MarkKind;
  slip?: string;
  brush?: string;
  path?: PathPoint[];
  x_mm?: Num;
  y_mm?: Num;
  width_mm?: Num;
  length_mm?: Num;
  turn_deg?: Num;
  coats?: Num;
  coat_g_m2?: Num;
  edge_mm?: Num;
  whole_zone?: boolean;
  pen?: Pen;
}
export interface Motif {
  id: string;
  name?: string;
  marks: Mark[];
  [key: string]: unknown;
}
export interface Exception {
  instance: Num;
  left_out?: boolean;
  move_turns?: Num;
  move_up_mm?: Num;
  turn_deg?: Num;
  scale?: Num;
}
export type Way =
  | 'repeat'
  | 'glide'
  | 'mirror'
  | 'turn'
  | 'mirror and turn'
  | 'reflect'
  | 'mirror and reflect'
  | 'rosette'
  | 'mirror rosette';
export interface Repeat {
  way?: Way;
  count: Num;
  axis_turns?: Num;
  may_overlap?: boolean;
  exceptions?: Exception[];
}
export interface Painted {
  id: string;
  zone: string;
  turns?: Num;
  up_mm?: Num;
  turn_deg?: Num;
  scale?: Num;
  flip?: boolean;
  motif?: string;
  mark?: Mark;
  repeat?: Repeat;
}
export interface Firing {
  peak_c: Num;
  hold_min?: Num;
  cone?: { scale: string; number: string };
  atmosphere?: string;
}
export interface Mixing {
  waste_percent?: Num;
  residue_g?: Num;
  scale_step_g?: Num;
  least_g?: Num;
}
export interface Piece {
  format: 'leatherhard.piece';
  version: number;
  id?: string;
  name: string;
  note?: string;
  invented?: boolean;
  pots?: Num;
  stage?: string;
  form: Form;
  body: Body;
  glaze?: Glaze;
  glaze_g_m2?: Num;
  slips: Slip[];
  materials?: unknown[];
  brushes?: Brush[];
  zones: Zone[];
  motifs?: Motif[];
  painting: Painted[];
  bisque_firing?: Firing;
  glaze_firing?: Firing;
  mixing?: Mixing;
  limits?: { coat_doubt_percent?: Num; seen_de00?: Num };
  ask?: unknown;
}
