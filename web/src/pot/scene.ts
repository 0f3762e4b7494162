// SPDX-License-Identifier: GPL-3.0-or-later
// The pot on the table, by three: meshes from the rings, colours from the
// worker's maps, the camera of the program's own pictures.

import * as THREE from 'three';
import { core, type Look, type Painting, type Rect } from '../core';
import { number, spectrum } from '../core/numbers';
import { defaults } from '../core/schema';
import { linear } from '../sight';
import type { Piece } from '../piece';
import { turn, type Lathe, type Stretch, type Turned } from './lathe';
import { LEVELS, TABLE_STEPS, light, type Light, type V3 } from './light';
import {
  SKIN_FRAGMENT,
  SKIN_VERTEX,
  TABLE_FRAGMENT,
  TABLE_VERTEX,
} from './shaders';

const AROUND = 192; // steps of the mesh; three for each place of the light
/** What is shown: the pot once, or twice beside itself. */
export type Shown = Look | 'both';
const BESIDE: Look[] = ['painted', 'fired']; // from the left
const DISTANCE = 7; // of the camera, in radii of what is seen
const MARGIN = 0.09,
  TOP = 0.07,
  BOTTOM = 0.13; // of the picture's size
const LOW = 0.3; // of what is left, below two pots; half of it below one

interface Skin {
  texture: THREE.DataTexture;
  painting: Painting;
}

export class PotScene {
  private renderer: THREE.WebGLRenderer;
  private scene = new THREE.Scene();
  private camera = new THREE.Camera();
  private pot = new THREE.Group();
  private table: THREE.Mesh;
  private turned: Turned | null = null;
  private lit: Light | null = null;
  private skins = new Map<string, Skin>();
  private materials: { m: THREE.RawShaderMaterial; zone: string }[] = [];
  private shared: Record<string, THREE.IUniform> = {};
  private asked = 0;
  private form: unknown[] = [];
  private gone = false;
  shown: Shown = 'fired';
  turns = 0;
  elevation = 0.34;

  constructor(readonly canvas: HTMLCanvasElement) {
    this.renderer = new THREE.WebGLRenderer({
      canvas,
      antialias: true,
      powerPreference: 'low-power',
    });
    this.renderer.outputColorSpace = THREE.LinearSRGBColorSpace; // encoded here
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio || 1));
    this.camera.matrixAutoUpdate = false;
    this.camera.matrixWorldAutoUpdate = false;
    const levels = Array.from({ length: LEVELS }, () => new THREE.Vector2());
    const v3 = () => ({ value: new THREE.Vector3() });
    this.shared = {
      levels: { value: levels },
      boxTo: v3(),
      boxAcross: v3(),
      boxUp: v3(),
      shadowTo: v3(),
      shadowSoft: { value: 0 },
      low: { value: 0 },
      grey: { value: 0.4 },
      tableStep: { value: 1 },
      tableSky: { value: null },
      eye: v3(),
      turned: { value: 0 },
      index: { value: 1.5 },
      mouth: { value: new THREE.Vector2() },
      bare: v3(),
      glazed: { value: 1 },
      ahead: v3(),
      upward: v3(),
      focus: { value: 1 },
      fade: { value: 1 },
      size: { value: new THREE.Vector2() },
      corner: { value: new THREE.Vector2() },
      middle: { value: new THREE.Vector2() },
    };
    this.table = new THREE.Mesh(
      new THREE.PlaneGeometry(2, 2),
      new THREE.RawShaderMaterial({
        glslVersion: THREE.GLSL3,
        vertexShader: TABLE_VERTEX,
        fragmentShader: TABLE_FRAGMENT,
        uniforms: this.shared,
        depthWrite: false,
        depthTest: false,
      }),
    );
    this.table.frustumCulled = false;
    this.table.renderOrder = -1;
    this.scene.add(this.table, this.pot);
  }

  free(): void {
    this.gone = true;
    cancelAnimationFrame(this.asked);
    this.clearPot();
    for (const s of this.skins.values()) s.texture.dispose();
    this.table.geometry.dispose();
    this.renderer.dispose();
  }

  /** Draw at the next frame. */
  again(): void {
    if (this.gone) return;
    this.asked ||= requestAnimationFrame(() => {
      this.asked = 0;
      this.draw();
    });
  }

  resize(width: number, height: number): void {
    this.renderer.setSize(width, height, false);
    this.again();
  }

  /** The grey of the page is the grey of the table. */
  private pageGrey(): number {
    const c = getComputedStyle(document.documentElement).backgroundColor;
    const m = /rgba?\((\d+)/.exec(c);
    return linear(m ? Number(m[1]) / 255 : 171 / 255);
  }

  /* ---- colours ------------------------------------------------------------- */

  take(p: Painting, rects: Rect[], fresh: boolean): void {
    const key = `${p.look} ${p.zone}`;
    let s = this.skins.get(key);
    if (!s || fresh || s.painting.nx !== p.nx) {
      s?.texture.dispose();
      const t = new THREE.DataTexture(
        new Uint8Array(p.rgba.buffer, p.rgba.byteOffset, p.rgba.byteLength),
        p.nx,
        p.ny,
        THREE.RGBAFormat,
        THREE.UnsignedByteType,
      );
      t.colorSpace = THREE.SRGBColorSpace;
      t.wrapS = THREE.RepeatWrapping;
      t.wrapT = THREE.ClampToEdgeWrapping;
      t.magFilter = THREE.LinearFilter;
      t.minFilter = THREE.LinearMipmapLinearFilter;
      t.generateMipmaps = true;
      t.anisotropy = Math.min(8, this.renderer.capabilities.getMaxAnisotropy());
      t.needsUpdate = true;
      s = { texture: t, painting: p };
      this.skins.set(key, s);
    } else {
      // Only the rows that changed are sent.
      for (const r of rects) {
        for (let y = r.y; y < r.y + r.h; y++) {
          s.texture.addUpdateRange?.(4 * (y * p.nx + r.x), 4 * r.w);
        }
      }
      s.texture.needsUpdate = true;
    }
    this.again();
  }

  /** Dress the pot for a look. */
  private dress(look: Look): void {
    (this.shared['glazed'] as THREE.IUniform).value =
      look === 'fired' && this.glazed ? 1 : 0;
    for (const { m, zone } of this.materials) {
      const s =
        this.skins.get(`${look} ${zone}`) ??
        this.skins.get(`fired ${zone}`);
      const kind = m.uniforms['kind'] as THREE.IUniform;
      (m.uniforms['skin'] as THREE.IUniform).value = s?.texture ?? null;
      kind.value = s ? (m.userData['kind'] as number) : 0;
    }
  }

  show(what: Shown): void {
    this.shown = what;
    this.again();
  }
  private glazed = true;

  private mean(face: string): V3 {
    const sum: V3 = [0, 0, 0];
    let n = 0;
    for (const l of this.turned?.lathes ?? []) {
      for (const s of l.stretches) {
        if (!s.zone || (s.zone.face ?? defaults.face) !== face) continue;
        const p = core.painting(s.zone.id, 'fired');
        if (!p) continue;
        for (let i = 0; i < p.nx * p.ny; i += 997) {
          if (!p.rgba[4 * i + 3]) continue;
          for (let c = 0; c < 3; c++) {
            sum[c] =
              (sum[c] as number) + linear((p.rgba[4 * i + c] as number) / 255);
          }
          n++;
        }
      }
    }
    return n ? (sum.map((x) => x / n) as V3) : [0.4, 0.4, 0.4];
  }

  /* ---- form and light -------------------------------------------------------- */

  /** The piece: a new pot is turned when its form or zones changed. */
  set(piece: Piece): void {
    const form = [piece.form, piece.zones];
    this.glazed = piece.glaze !== undefined;
    (this.shared['index'] as THREE.IUniform).value = number(
      piece.glaze?.index,
      defaults.index,
    );
    const body = core.colour([]);
    const rgb = /rgb\((\d+) (\d+) (\d+)/.exec(body);
    const bare = rgb
      ? rgb.slice(1, 4).map((v) => linear(Number(v) / 255))
      : [0, 0, 0].fill(spectrum(piece.body.reflectance)[20] ?? 0.3);
    (this.shared['bare'] as THREE.IUniform<THREE.Vector3>).value.fromArray(
      bare,
    );
    this.again();
    if (!core.shapes || form.every((x, i) => x === this.form[i])) return;
    try {
      this.turned = turn(core.shapes, piece);
    } catch {
      return; // a form that cannot be drawn: the last one stays
    }
    this.form = form;
    this.relight();
  }

  /** Light and meshes afresh, also when the page's grey changed. */
  relight(): void {
    const t = this.turned;
    if (!t) return;
    const grey = this.pageGrey();
    const l = light(t, grey, this.mean('outside'), this.mean('inside'));
    this.lit = l;
    const u = this.shared;
    const set3 = (key: string, v: V3) =>
      (u[key] as THREE.IUniform<THREE.Vector3>).value.fromArray(v);
    set3('boxTo', l.to);
    set3('boxAcross', l.across);
    set3('boxUp', l.up);
    set3('shadowTo', l.shadow);
    (u['levels'] as THREE.IUniform<THREE.Vector2[]>).value.forEach((v, i) =>
      v.set(l.outside.r[i] as number, l.outside.z[i] as number),
    );
    (u['shadowSoft'] as THREE.IUniform).value = l.shadowSoft;
    (u['low'] as THREE.IUniform).value = t.low;
    (u['grey'] as THREE.IUniform).value = grey;
    (u['tableStep'] as THREE.IUniform).value = l.tableStep;
    (u['mouth'] as THREE.IUniform<THREE.Vector2>).value.set(t.mouthR, t.mouthZ);
    const sky = u['tableSky'] as THREE.IUniform<THREE.DataTexture | null>;
    sky.value?.dispose();
    const half = new Uint16Array(
      Array.from(l.table, (x) => THREE.DataUtils.toHalfFloat(x)),
    );
    sky.value = new THREE.DataTexture(
      half,
      TABLE_STEPS + 1,
      1,
      THREE.RedFormat,
      THREE.HalfFloatType,
    );
    sky.value.minFilter = sky.value.magFilter = THREE.LinearFilter;
    sky.value.needsUpdate = true;
    this.build(t, l);
    this.again();
  }

  private clearPot(): void {
    for (const o of [...this.pot.children] as THREE.Mesh[]) {
      o.geometry.dispose();
      (o.material as THREE.Material).dispose();
      this.pot.remove(o);
    }
    this.materials = [];
  }

  private build(t: Turned, l: Light): void {
    this.clearPot();
    for (const p of t.lathes) {
      p.stretches.forEach((s, i) => {
        const of = l.of.get(p)?.[i];
        if (!of) return;
        const own = p.cavity ? l.cavity : l.own;
        const m = new THREE.RawShaderMaterial({
          glslVersion: THREE.GLSL3,
          vertexShader: SKIN_VERTEX,
          fragmentShader: SKIN_FRAGMENT,
          side: p.inward ? THREE.BackSide : THREE.FrontSide,
          uniforms: {
            ...this.shared,
            skin: { value: null },
            kind: { value: 0 },
            own: { value: new THREE.Vector3(...own) },
            cavity: { value: p.cavity },
            hand: { value: s.chart?.hand ?? 1 },
          },
        });
        m.userData['kind'] = s.chart ? (s.chart.kind === 'band' ? 1 : 2) : 0;
        const mesh = new THREE.Mesh(geometry(p, s, of, l.places), m);
        mesh.frustumCulled = false;
        mesh.matrixAutoUpdate = false;
        this.pot.add(mesh);
        if (s.zone) this.materials.push({ m, zone: s.zone.id });
      });
    }
  }

  /* ---- camera ------------------------------------------------------------------ */

  /** The camera for a picture of this size with this lower left corner; so
   *  much of what is left stays below the pot. [px] */
  private frame(size: THREE.Vector2, corner: number, low: number): void {
    const t = this.turned;
    if (!t) return;
    const c = Math.cos(this.elevation),
      h = Math.sin(this.elevation);
    const middle = (t.low + t.high) / 2,
      half = (t.high - t.low) / 2;
    const far = DISTANCE * Math.hypot(t.radius, half);
    const eye: V3 = [0, -far * c, middle + far * h];
    const least = [Infinity, Infinity],
      most = [-Infinity, -Infinity];
    const see = (r: number, z: number) => {
      for (let j = 0; j < 32; j++) {
        const a = (2 * Math.PI * j) / 32;
        const dy = -r * Math.cos(a) - eye[1],
          dz = z - eye[2];
        const away = dy * c - dz * h;
        const p = [(r * Math.sin(a)) / away, (dy * h + dz * c) / away];
        for (let k = 0; k < 2; k++) {
          least[k] = Math.min(least[k] as number, p[k] as number);
          most[k] = Math.max(most[k] as number, p[k] as number);
        }
      }
    };
    for (let i = 0; i < t.outside.length; i += 4) {
      const r = t.outside[i];
      if (r) see(r.r, r.z);
    }
    see(t.mouthR, t.mouthZ);
    const wide = (most[0] as number) - (least[0] as number);
    const tall = (most[1] as number) - (least[1] as number);
    const focus = Math.min(
      ((1 - 2 * MARGIN) * size.x) / wide,
      ((1 - TOP - BOTTOM) * size.y) / tall,
    );
    const x0 = size.x / 2;
    const spare = size.y * (1 - TOP - BOTTOM) - focus * tall;
    const y0 = BOTTOM * size.y + spare * low - focus * (least[1] as number);
    const n = 0.2 * far,
      f = 3 * far;
    this.camera.matrixWorldInverse.set(
      1,
      0,
      0,
      0,
      0,
      h,
      c,
      -(eye[1] * h + eye[2] * c),
      0,
      -c,
      h,
      eye[1] * c - eye[2] * h,
      0,
      0,
      0,
      1,
    );
    this.camera.projectionMatrix.set(
      (2 * focus) / size.x,
      0,
      1 - (2 * x0) / size.x,
      0,
      0,
      (2 * focus) / size.y,
      1 - (2 * y0) / size.y,
      0,
      0,
      0,
      -(f + n) / (f - n),
      (-2 * f * n) / (f - n),
      0,
      0,
      -1,
      0,
    );
    const u = this.shared;
    const v = (key: string) => (u[key] as THREE.IUniform<THREE.Vector3>).value;
    v('eye').fromArray(eye);
    v('ahead').set(0, c, -h);
    v('upward').set(0, h, c);
    (u['focus'] as THREE.IUniform).value = focus;
    (u['size'] as THREE.IUniform<THREE.Vector2>).value.copy(size);
    (u['corner'] as THREE.IUniform<THREE.Vector2>).value.set(corner, 0);
    (u['middle'] as THREE.IUniform<THREE.Vector2>).value.set(x0, y0);
    (u['fade'] as THREE.IUniform).value = 0.3 * Math.min(size.x, size.y);
    (u['turned'] as THREE.IUniform).value = this.turns;
    this.perTurn =
      (2 * Math.PI * t.radius * focus) /
      (far - t.radius) /
      this.renderer.getPixelRatio();
  }
  /** css px that the wall in front moves in a whole turn. */
  perTurn = 1000;

  draw(): void {
    // Not bare for a moment, when its colours are about to come.
    const bare = this.materials.length > 0 && this.skins.size === 0;
    if (this.gone || !this.lit || bare) return;
    const { renderer } = this;
    const size = renderer.getDrawingBufferSize(new THREE.Vector2());
    const looks: Look[] = this.shown === 'both' ? BESIDE : [this.shown];
    const each = new THREE.Vector2(Math.ceil(size.x / looks.length), size.y);
    const k = 1 / renderer.getPixelRatio();
    // One context draws both, each in its own part of the canvas.
    renderer.setScissorTest(looks.length > 1);
    looks.forEach((look, i) => {
      const at = [i * each.x * k, 0, each.x * k, each.y * k] as const;
      if (looks.length > 1) renderer.setScissor(...at);
      renderer.setViewport(...at);
      this.frame(each, i * each.x, looks.length > 1 ? LOW : 0.5);
      this.dress(look);
      renderer.render(this.scene, this.camera);
    });
  }
}

/** Vertices of a stretch; the seam's are there twice. */
function geometry(
  p: Lathe,
  s: Stretch,
  of: { key: Float32Array; sky: Float32Array },
  places: number,
): THREE.BufferGeometry {
  const n = s.rings.length,
    row = AROUND + 1,
    c = s.chart;
  const position = new Float32Array(3 * n * row),
    normal = new Float32Array(3 * n * row);
  const at = new Float32Array(2 * n * row),
    key = new Float32Array(n * row);
  const sky = new Float32Array(3 * n * row);
  const each = AROUND / places;
  s.rings.forEach((x, i) => {
    for (let j = 0; j <= AROUND; j++) {
      const k = i * row + j,
        turns = j / AROUND,
        a = 2 * Math.PI * turns;
      position.set([x.r * Math.sin(a), -x.r * Math.cos(a), x.z], 3 * k);
      normal.set([x.nr * Math.sin(a), -x.nr * Math.cos(a), x.nz], 3 * k);
      sky.set(of.sky.subarray(3 * i, 3 * i + 3), 3 * k);
      key[k] = cubic(of.key, i * places, places, j / each);
      if (!c) continue;
      const h = s.at[i] ?? 0;
      if (c.kind === 'band') at.set([turns, h / c.height], 2 * k);
      else {
        const b = c.hand * a;
        at.set(
          [(h / c.width) * Math.cos(b), (h / c.width) * Math.sin(b)],
          2 * k,
        );
      }
    }
  });
  const index: number[] = [];
  for (let i = 0; i + 1 < n; i++) {
    for (let j = 0; j < AROUND; j++) {
      const a = i * row + j,
        b = a + 1,
        d = a + row,
        e = d + 1;
      index.push(a, b, e, a, e, d);
    }
  }
  const g = new THREE.BufferGeometry();
  const put = (name: string, v: Float32Array, size: number) =>
    g.setAttribute(name, new THREE.BufferAttribute(v, size));
  put('position', position, 3);
  put('normal', normal, 3);
  put('chartAt', at, 2);
  put('key', key, 1);
  put('sky', sky, 3);
  g.setIndex(index);
  void p;
  return g;
}

/** Between the places around, a cubic through them (Catmull and Rom). */
function cubic(v: Float32Array, from: number, n: number, x: number): number {
  const i = Math.floor(x),
    t = x - i;
  const at = (k: number) => v[from + ((i + k + n) % n)] as number;
  const a = at(-1),
    b = at(0),
    c = at(1),
    d = at(2);
  return Math.max(
    0,
    b +
      0.5 *
        t *
        (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))),
  );
}
