"""The wood as GLSL 1.50, for the fragment shader. ``twin`` says the same in numpy; change both together.

Noise is hashed from integers, so that both give the same answer; each channel pair of a noise comes from one hash.
Everything fades with ``fx``, what a pixel covers across the fibre: nothing finer than a pixel is drawn.
"""

from __future__ import annotations

from app.scene.wood.table import BOARD_TEXELS, ROW, SPECIES_AT, SPECIES_TEXELS

_NOISE = r"""
uint woodHash(uint x) {
  x ^= x >> 16; x *= 0x21f0aaadu; x ^= x >> 15; x *= 0x735a2d97u; x ^= x >> 15; return x;
}
float woodUnit(uint h) { return float(h >> 8) * 5.9604645e-8; }
vec2 woodPair(uint h) { return vec2(float(h & 0xffffu), float(h >> 16)) * 3.0518044e-5 - 1.0; }
float woodStep(float a, float b, float x) {
  float t = clamp((x - a) / (b - a), 0.0, 1.0); return t * t * (3.0 - 2.0 * t);
}
vec2 woodNoise1(float x, uint s) {
  float i = floor(x), f = x - i; f = f * f * (3.0 - 2.0 * f);
  uint k = uint(int(i)) * 0x9e3779b9u + s;
  return mix(woodPair(woodHash(k)), woodPair(woodHash(k + 0x9e3779b9u)), f);
}
vec2 woodNoise3(vec3 p, uint s) {
  vec3 i = floor(p), f = p - i; f = f * f * (3.0 - 2.0 * f);
  uint x = uint(int(i.x)) * 0x8da6b343u + s, y = uint(int(i.y)) * 0xd8163841u, z = uint(int(i.z)) * 0xcb1ab31fu;
  uint X = x + 0x8da6b343u, Y = y + 0xd8163841u, Z = z + 0xcb1ab31fu;
  vec2 low = mix(mix(woodPair(woodHash(x + y + z)), woodPair(woodHash(X + y + z)), f.x),
                 mix(woodPair(woodHash(x + Y + z)), woodPair(woodHash(X + Y + z)), f.x), f.y);
  vec2 high = mix(mix(woodPair(woodHash(x + y + Z)), woodPair(woodHash(X + y + Z)), f.x),
                  mix(woodPair(woodHash(x + Y + Z)), woodPair(woodHash(X + Y + Z)), f.x), f.y);
  return mix(low, high, f.z);
}
"""

_BOARD = r"""
vec4 woodTexel(int n) { return texelFetch(woodTable, ivec2(n % ROW, n / ROW), 0); }

// One board: rgb sRGB and, as a, how much of the pixel is open pore.
vec4 woodBoard(int at, vec3 P, vec3 dX, vec3 dY, float coarse) {
  vec4 b0 = woodTexel(at), b1 = woodTexel(at + 1), b2 = woodTexel(at + 2), b3 = woodTexel(at + 3);
  int sp = SPECIES_AT + SPECIES_TEXELS * int(b3.x);
  uint s = uint(int(b3.y)) * 747796405u;
  vec4 early4 = woodTexel(sp), late4 = woodTexel(sp + 1), streak4 = woodTexel(sp + 3);
  vec4 form = woodTexel(sp + 5), grain = woodTexel(sp + 8), rib = woodTexel(sp + 9);
  vec3 q = vec3(dot(b0.xyz, P) + b0.w, dot(b1.xyz, P) + b1.w, dot(b2.xyz, P) + b2.w);
  vec3 ux = vec3(dot(b0.xyz, dX), dot(b1.xyz, dX), dot(b2.xyz, dX));
  vec3 uy = vec3(dot(b0.xyz, dY), dot(b1.xyz, dY), dot(b2.xyz, dY));
  vec3 n = cross(ux, uy); n /= max(length(n), 1e-20);
  float eg = woodStep(0.55, 0.96, abs(n.z));
  float z = q.z, fx = coarse * max(length(ux.xy), length(uy.xy));

  // the pith wanders
  q.xy += 2.0 * woodNoise1(z * 0.0031, s + 11u);
  float R = length(q.xy); vec2 rh = q.xy / R, th = vec2(-rh.y, rh.x);
  float fr = coarse * max(abs(dot(rh, ux.xy)), abs(dot(rh, uy.xy)));
  float nt = dot(th, n.xy); nt *= nt;
  vec2 g = vec2(0.8 * q.x - 0.6 * q.y, 0.6 * q.x + 0.8 * q.y);
  vec2 wide = woodNoise3(vec3(q.xy * 0.021, z * 0.0019), s + 21u);
  vec2 mid = woodNoise3(vec3(g * 0.083, z * 0.0055), s + 22u);
  vec2 fine = woodNoise3(vec3(g.yx * 0.42, z * 0.0085), s + 23u);
  float r = R + grain.y * wide.x + grain.z * mid.x + grain.w * fine.x;
  float v = 0.55 * fine.y * (1.0 - woodStep(0.3, 0.9, fx * 0.42));
  if (fx < 0.65) {
    vec2 finer = woodNoise3(vec3(g * 1.35, z * 0.02), s + 24u) * (1.0 - woodStep(0.3, 0.85, fx * 1.35));
    r += grain.w * finer.x; v += 0.65 * finer.y;
  }
  if (fx < 0.19) v += 0.5 * woodNoise3(vec3(g.yx * 4.6, z * 0.075), s + 25u).x * (1.0 - woodStep(0.3, 0.85, fx * 4.6));

  // rings
  float t = r / (early4.w * b3.w); t += 0.9 * woodNoise1(t * 0.23, s + 31u).x;
  float k = floor(t), f = t - k; uint hk = woodHash(uint(int(k)) * 0x9e3779b9u + s + 32u);
  float w = fr / (early4.w * b3.w), e = max(0.06, 1.1 * w), fade = woodStep(0.30, 0.75, w);
  float from = form.x + (woodUnit(hk) - 0.5) * 0.3 * min(form.x, 1.0 - form.x);
  float late = woodStep(from - 0.5 * w, form.y + 0.5 * w, f) * (1.0 - woodStep(1.0 - e, 1.0, f));
  late *= 1.0 - form.w * woodUnit(hk * 0x2c1b3c6du);
  late = mix(late, (1.0 - 0.5 * (form.x + form.y)) * (1.0 - 0.5 * form.w), fade);
  float porous = 1.0 - woodStep(form.z * 0.55 - 0.5 * w, form.z * 1.45 + 0.5 * w, f);
  porous = max(porous, woodStep(1.0 - 0.5 * e, 1.0, f));
  porous = mix(porous, form.z, fade);
  vec3 c = mix(early4.rgb, late4.rgb, clamp(late * late4.w * (1.0 + 0.2 * eg + 0.35 * fine.y), 0.0, 1.0));

  // streaks of another colour follow the rings, fibres are lighter and darker
  float arc = 80.0 * atan(q.y, q.x);
  vec2 zone = woodNoise3(vec3(r * 0.115, arc * 0.022, z * 0.0024), s + 41u);
  v = grain.x * v * (1.0 - 0.5 * eg);
  c *= mix(vec3(1.0), streak4.rgb, streak4.w * woodStep(-0.15, 0.75, zone.x + 0.35 * mid.y + 0.3 * fine.x)) * (1.0 + v);

  // interlocked grain: fibres dive into a quarter-sawn face one way, then the other
  if (rib.x > 0.0) {
    float stripe = woodNoise1(r / rib.y + 0.9 * zone.y, s + 51u).x * (0.75 + 0.5 * wide.y);
    c *= 1.0 + rib.x * stripe * 1.5 * nt * (1.0 - eg) * (1.0 - woodStep(0.3, 0.9, fr / rib.y));
  }

  // rays: thin sheets from the pith outward
  vec4 ray4 = woodTexel(sp + 4), ray = woodTexel(sp + 7);
  float ft = coarse * max(abs(dot(th, ux.xy)), abs(dot(th, uy.xy))), fz = coarse * max(abs(ux.z), abs(uy.z));
  if (ray4.w > 0.0 && ft < 1.1 * ray.y && fz < 0.8 * ray.z) {
    vec2 sway = woodNoise3(vec3(r * 0.27, arc * 0.06, z * 1.2 / ray.z), s + 61u);
    float a = arc / ray.y + 0.55 * sway.x + 0.8 * mid.y, ia = floor(a);
    uint ha = woodHash(uint(int(ia)) * 0x9e3779b9u + s + 62u);
    float zz = z / ray.z + 7.0 * woodUnit(ha), iz = floor(zz);
    uint hb = woodHash(ha + uint(int(iz)) * 0x85ebca6bu), hc = woodHash(hb);
    vec2 jit = woodPair(hc);
    float thin = 0.14 + 0.06 * jit.x, soft = ft / ray.y;
    float da = (a - ia - 0.5 - 0.25 * jit.y) / (thin + 0.6 * soft), dz = (zz - iz - 0.5) / (0.33 + 0.12 * jit.x);
    float on = (woodUnit(hb) < ray.w ? 1.0 : 0.0) * woodStep(-0.5, 0.0, woodNoise1(r / rib.w, hb).x);
    on *= (1.0 - woodStep(0.35, 1.0, da * da + dz * dz + 0.6 * sway.y)) * thin / (thin + 0.6 * soft);
    on *= 1.0 - woodStep(0.5, 1.1, soft);
    on *= 1.0 - woodStep(0.3, 0.8, fz / ray.z);
    vec3 seen = mix(c * (1.0 - woodTexel(sp + 10).w), ray4.rgb * (1.0 + 0.5 * v), clamp(1.6 * nt + eg, 0.0, 1.0));
    c = mix(c, seen, ray4.w * on * (1.0 - 0.45 * eg));
  }

  // pores: one meandering tube to a cell of the cross-section; from afar their mean remains
  vec4 pore4 = woodTexel(sp + 2), pore = woodTexel(sp + 6);
  float share = mix(ray.x, pore.w, porous), rad = mix(pore.z, pore.y, porous);
  float afar = woodStep(0.35, 1.0, fx / pore.x), open = min(1.0, 3.14159 * share * rad * rad / (pore.x * pore.x));
  if (afar < 1.0) {
    vec2 pc = g / pore.x, pi = floor(pc);
    uint hp = woodHash(uint(int(pi.x)) * 0x8da6b343u + uint(int(pi.y)) * 0xd8163841u + s + 71u);
    vec2 way = woodNoise1(z * 0.06 + float(hp & 255u), hp), gap = woodNoise1(z * 0.075 + float(hp & 127u), hp + 3u);
    uint hq = woodHash(hp + 5u);
    float tube = rad * (0.8 + 0.4 * woodUnit(hq)), blur = max(0.4 * tube, 0.55 * fx);
    float here = (woodUnit(hp) < share ? 1.0 : 0.0) * mix(woodStep(-0.65, -0.25, gap.x), 1.0, eg);
    float d = length(pc - pi - 0.5 - 0.30 * way) * pore.x;
    here *= (1.0 - woodStep(tube - blur, tube + blur, d)) * min(1.0, 1.5 * tube / blur);
    open = mix(here, open, afar);
  }
  c = mix(c, pore4.rgb, pore4.w * open);
  c *= b3.z * mix(vec3(1.0), vec3(1.02, 1.0, 0.97) * rib.z, eg);
  return vec4(c, open * (1.0 - woodStep(0.3, 1.0, fx / pore.x)));
}
"""

_LAYUP = r"""
vec3 woodMean(int at) {
  vec4 b = woodTexel(at + 3);
  return woodTexel(SPECIES_AT + SPECIES_TEXELS * int(b.x) + 10).rgb * b.z;
}

// Which cell along one axis, and by how much the nearest border is below (negative: above).
int woodCell(float u, int at, int n, out float d) {
  int low = 0, high = n;
  while (low < high) { int m = (low + high) / 2; if (woodTexel(at + m).x <= u) low = m + 1; else high = m; }
  d = 1e9;
  if (low > 0) d = u - woodTexel(at + low - 1).x;
  if (low < n) { float up = u - woodTexel(at + low).x; if (-up < d) d = up; }
  return low;
}

// The board P lies in; other: the one across the nearest border, which is beside pixels away; seen: mm to a pixel.
int woodFind(vec3 P, vec3 dX, vec3 dY, vec4 head, vec4 tell, out int other, out float beside, out float seen) {
  vec4 shear = woodTexel(2);
  vec3 u = P, up = vec3(0.0, 0.0, 1.0);
  if (shear.x >= 0.0) {
    float across = (shear.x < 0.5 ? P.x : P.y) - shear.y, lean = across < 0.0 ? -shear.z : shear.z;
    u.z += across * lean;
    if (shear.x < 0.5) up.x = lean; else up.y = lean;
  }
  int at = int(tell.x), by = BOARD_TEXELS, board = int(tell.y);
  other = 0; beside = 1e9; seen = 1.0;
  for (int axis = 0; axis < 3; axis++) {
    int n = int(head[axis]);
    if (n > 0) {
      float d;
      board += by * woodCell(u[axis], at, n, d);
      vec3 across = axis == 2 ? up : vec3(axis == 0 ? 1.0 : 0.0, axis == 1 ? 1.0 : 0.0, 0.0);
      float sx = dot(across, dX), sy = dot(across, dY), pace = max(sqrt(sx * sx + sy * sy), 1e-6);
      if (abs(d) / pace < beside) { beside = abs(d) / pace; seen = pace; other = d >= 0.0 ? -by : by; }
      at += n;
    }
    by *= n + 1;
  }
  other += board;
  return board;
}

// The wood's colour at P from afar.
vec3 woodAfar(vec3 P) {
  int other; float beside, seen;
  return woodMean(woodFind(P, vec3(0.0), vec3(0.0), woodTexel(0), woodTexel(1), other, beside, seen));
}

// P in block mm; dX and dY what one pixel steps over to the right and up.
vec4 wood(vec3 P, vec3 dX, vec3 dY) {
  vec4 head = woodTexel(0), tell = woodTexel(1);
  bool pattern = head.w > 1.5;
  int other; float beside, seen;
  int board = woodFind(P, dX, dY, head, tell, other, beside, seen);
  vec4 c;
  if (pattern) c = vec4(woodMean(board), 0.0); else c = woodBoard(board, P, dX, dY, tell.w);
  if (beside < 0.5) c.rgb += (0.5 - beside) * (woodMean(other) - woodMean(board));
  float pixel = max(length(dX), length(dY)), dark = pattern ? 0.5 : tell.z, thick = pattern ? 0.25 : 0.07;
  // in pixels, so that a face that lies on a glue plane stays clean
  float reach = max(0.75, thick / max(seen, max(0.3 * pixel, 1e-6)));
  c.rgb *= 1.0 - dark * (1.0 - woodStep(0.0, reach, beside)) * min(1.0, 2.0 * thick / max(pixel, 1e-6));
  return c;
}
"""


def _with_numbers(source: str) -> str:
    for name, value in (
        ("SPECIES_TEXELS", SPECIES_TEXELS), ("BOARD_TEXELS", BOARD_TEXELS), ("SPECIES_AT", SPECIES_AT), ("ROW", ROW),
    ):  # fmt: skip
        source = source.replace(name, str(value))
    return source


WOOD_GLSL = _with_numbers(_NOISE + _BOARD + _LAYUP)
