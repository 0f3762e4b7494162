// SPDX-License-Identifier: GPL-3.0-or-later
// What the operations `coverage`, `form`, `mix`, `thin`, `shade` and `piece`
// give, as far as the page reads it.

export interface Coverage {
  name: string;
  pots: number;
  slips: {
    slip: string;
    name: string;
    area_cm2: number;
    coat_g_m2: number;
    dry_g: number;
    dry_g_all_pots: number;
    dry_g_range: [number, number];
    heaviest_g_m2: number;
    thick_cm2: number;
    thin_cm2: number;
    wet_g: number;
  }[];
  overlaps: {
    upper: string;
    lower: string; // a slip's id, or "body"
    area_cm2: number;
    upper_g_m2: number;
    lower_g_m2: number;
  }[];
  clearances: Clearance[];
}
/** Between neighbours; the last four where a slip's bleed is known. */
export interface Clearance {
  painted: string;
  zone: string;
  clearance_mm: number;
  clearance_mm_range: [number, number];
  bleed_mm?: [number, number];
  fired_clearance_mm?: number;
  fired_clearance_mm_range?: [number, number];
  every_bleed_known?: boolean;
}

export interface FormResult {
  areas_cm2: { outside: number; inside?: number };
  capacity_ml?: number;
  capacity_range_ml?: [number, number];
  clay_g?: number;
  clay_range_g?: [number, number];
  sizes: {
    stage: string;
    height_mm: number;
    lip_mm: number;
    widest_mm: number;
    capacity_ml?: number;
  }[];
  wall?: { floor_above_table_mm?: number; rim_mm?: number };
  zones?: { id: string; name?: string; area_cm2: number }[];
}

export interface MixResult {
  lines: {
    material: string;
    grams: number;
    running_g: number;
    off_percent: number;
  }[];
  dry_g: number;
  needed_dry_g: number;
  water_g: number;
  volume_ml: number;
  litre_weight_g: number;
  specific_gravity: number;
  scale_step_g: number;
  solids_density: number;
  rounding_error_percent: number;
  add_ml_per_10_g_l: number;
  range: { water_g: [number, number]; volume_ml: [number, number] };
  cautions: string[];
}

export interface ThinResult {
  add_water_ml: number;
  decant_ml: number;
  litre_weight_g: number;
  target_litre_weight_g: number;
  volume_ml: number;
  volume_after_ml: number;
  dry_g: number;
  water_g: number;
  or_dry_slip_g: number;
  range: {
    add_water_ml: [number, number];
    litre_weight_g: [number, number];
    dry_g: [number, number];
  };
}

export interface ShadeResult {
  hex: string;
  in_gamut: boolean;
  lab: [number, number, number];
  srgb: [number, number, number];
  range: { delta_e00: number };
}

export interface Verdict {
  verdict: 'ok' | 'caution' | 'stop';
  name: string;
  checks: {
    about: string;
    verdict: 'ok' | 'caution' | 'stop';
    why: string;
    todo: string;
  }[];
}
