// SPDX-License-Identifier: GPL-3.0-or-later
// What the graphics card does: the pot's skin and its glaze, the table with
// its shadow.  Light is linear here and encoded at the very end.

import {
  BOX_ACROSS,
  BOX_EDGE,
  BOX_UP,
  KEY,
  LEVELS,
  SKY,
  SOFT,
  TABLE_STEPS,
} from './light';

const f = (x: number): string => (Number.isInteger(x) ? `${x}.0` : String(x));

const COMMON = `
precision highp float;
uniform vec2 levels[${LEVELS}]; // radius, height
uniform vec3 boxTo, boxAcross, boxUp, shadowTo;
uniform float shadowSoft, low, grey, tableStep;
uniform sampler2D tableSky;
float ease(float x) { x = clamp(x, 0.0, 1.0); return x * x * (3.0 - 2.0 * x); }
float openWay(vec3 at, vec3 to, float soft) {
  float near = 0.004 * (levels[${LEVELS - 1}].y - levels[0].y), worst = 1.0;
  for (int i = 0; i < ${LEVELS}; i++) {
    float up = levels[i].y - at.z;
    bool past = to.z > 0.0 ? up > near : up < -near;
    if (!past) continue;
    float way = up / to.z;
    float gap = length(at.xy + way * to.xy) - levels[i].x;
    worst = min(worst, 0.5 + 0.5 * gap / (soft * way));
  }
  return ease(worst);
}
float tableLight(vec2 p) {
  float key = ${f(KEY)} * boxTo.z;
  float open = openWay(vec3(p, low), shadowTo, shadowSoft);
  float far = length(p) / (tableStep * ${f(TABLE_STEPS)});
  float sky = texture(tableSky, vec2(min(far, 1.0) * ${f(TABLE_STEPS / (TABLE_STEPS + 1))}
    + ${f(0.5 / (TABLE_STEPS + 1))}, 0.5)).r;
  return (key * open + ${f(SKY)} * sky) / (key + ${f(SKY)});
}
vec3 encode(vec3 c) {
  c = clamp(c, 0.0, 1.0);
  return mix(12.92 * c, 1.055 * pow(c, vec3(1.0 / 2.4)) - 0.055,
    step(0.0031308, c));
}
// Interleaved gradient noise (J. Jimenez, 2014), so that soft shadows show no
// steps.
vec3 dithered(vec3 c, vec2 p) {
  float x = fract(52.9829189 * fract(dot(p, vec2(0.06711056, 0.00583715))));
  return c + (x - 0.5) / 255.0;
}
`;

export const SKIN_VERTEX = `
in vec3 position;
in vec3 normal;
in vec2 chartAt; // turns, height on the chart over its own (band); x, y (disc)
in float key;
in vec3 sky;
uniform mat4 viewMatrix, projectionMatrix;
out vec3 vAt, vNormal, vSky;
out vec2 vChart;
out float vKey;
void main() {
  vAt = position;
  vNormal = normal;
  vChart = chartAt;
  vKey = key;
  vSky = sky;
  gl_Position = projectionMatrix * viewMatrix * vec4(position, 1.0);
}
`;

export const SKIN_FRAGMENT = `${COMMON}
in vec3 vAt, vNormal, vSky;
in vec2 vChart;
in float vKey;
out vec4 colour;
uniform sampler2D skin;
uniform vec3 bare, own, eye;
uniform vec2 mouth; // radius, height
uniform float turned, hand, index, glazed;
uniform int kind; // 0 bare, 1 band, 2 disc
uniform bool cavity;
float fresnel(float c) {
  float s2 = (1.0 - c * c) / (index * index), t = sqrt(1.0 - s2);
  float a = (c - index * t) / (c + index * t);
  float b = (t - index * c) / (t + index * c);
  return 0.5 * (a * a + b * b);
}
float softbox(vec3 to) {
  float along = dot(to, boxTo);
  if (along <= 0.1) return 0.0;
  float x = ${f(BOX_ACROSS)} - abs(dot(to, boxAcross) / along);
  float y = ${f(BOX_UP)} - abs(dot(to, boxUp) / along);
  return ${f((KEY * Math.PI) / (4 * BOX_ACROSS * BOX_UP))} *
    ease(0.5 + x / ${f(2 * BOX_EDGE)}) * ease(0.5 + y / ${f(2 * BOX_EDGE)});
}
vec3 mirror(vec3 to) {
  const float HORIZON = 0.15;
  float open;
  if (cavity) {
    float way = (mouth.y - vAt.z) / max(to.z, 1e-3);
    vec2 p = vAt.xy + way * to.xy;
    open = to.z <= 0.0 ? 0.0 : ease(to.z / HORIZON) *
      ease(0.5 + 0.5 * (mouth.x - length(p)) / (${f(SOFT)} * max(way, 0.1)));
  } else open = openWay(vAt, to, ${f(SOFT)});
  float seen = ${f(SKY)} * (0.6 + 0.6 * max(to.z, 0.0)) + softbox(to);
  if (!cavity && to.z < HORIZON) {
    float above = ease(0.5 + 0.5 * to.z / HORIZON);
    float way = (low - vAt.z) / min(to.z, -1e-3);
    seen = mix(grey * tableLight(vAt.xy + way * to.xy), seen, above);
  }
  return open * seen + (1.0 - open) * own;
}
void main() {
  vec3 c = bare;
  if (kind == 1) {
    vec2 at = vec2(hand * (vChart.x - turned), vChart.y);
    c = texture(skin, at).rgb;
  } else if (kind == 2) {
    float a = -6.283185307179586 * hand * turned;
    vec2 p = mat2(cos(a), sin(a), -sin(a), cos(a)) * vChart;
    c = texture(skin, 0.5 + p).rgb;
  }
  vec3 n = normalize(vNormal), e = normalize(eye - vAt);
  float along = max(dot(n, e), 0.0);
  vec3 lit = c * (vKey + vSky);
  if (glazed > 0.0) lit += glazed * fresnel(along) * mirror(2.0 * along * n - e);
  colour = vec4(dithered(encode(lit), gl_FragCoord.xy), 1.0);
}
`;

export const TABLE_VERTEX = `
in vec3 position;
void main() { gl_Position = vec4(position.xy, 1.0, 1.0); }
`;

export const TABLE_FRAGMENT = `${COMMON}
out vec4 colour;
uniform vec3 eye, ahead, upward;
uniform vec2 size, middle, corner; // of the picture [px]
uniform float focus, fade;
void main() {
  vec2 p = gl_FragCoord.xy - corner, q = (p - middle) / focus;
  vec3 to = vec3(q.x, ahead.yz + q.y * upward.yz);
  float way = (low - eye.z) / to.z, light = 1.0;
  if (way > 0.0) light = tableLight(eye.xy + way * to.xy);
  vec2 edge = min(p, size - p) / fade;
  float border = ease(edge.x) * ease(edge.y);
  light = mix(1.0, light, border);
  colour = vec4(dithered(encode(vec3(grey * light)), p), 1.0);
}
`;
