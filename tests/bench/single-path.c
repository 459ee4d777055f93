/* The kernel of single paths in plain scalar C, as a yardstick for the TypeScript one: the same form, the same loop order (two frequencies side by
   side without wall loss, where one waits for itself), the same series; where another way is faster in C it is taken.
   Reads cases, writes the rows of all designs, then times itself at each line on the standard input. Built and run by single-path.bench.mjs. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { HEAD = 32, ROWS = 10, MOST = 256 };

static int sections, n, tap_near, tap_far, walls;
static double rc, per_rc, re, le, bl, mms, cms, rms, sd, voltage, source, stiffness, wave[6], flow[6];
static double *omega, *iw, *k0, *ik0, *layer, *mouth_re, *mouth_im;
static double half[MOST], turn[MOST], in[MOST], before[MOST], series[MOST][12], root[MOST + 1], per_root[MOST + 1], slope[MOST];

static void refuse(void)
{
  fputs("half an angle above 0.7: not among the cases\n", stderr);
  exit(2);
}

/* fraction N / Q for the tangent of half an angle, as in the TypeScript kernel */
static inline void half_fraction(double y, double *n, double *q)
{
  double z = y * y;
  if (y > 0.7) refuse();
  *n = y * (1 - z * (0.12131514596922875 - z * 0.0020300390835312843));
  *q = 1 - z * (0.45464847930312297 - z * (0.02024619886667651 - z * 9.718982005248576e-5));
}

/* sine of the angle and tangent of its half, one division for both */
static inline void half_turn(double y, double *s, double *t)
{
  double n, q;
  half_fraction(y, &n, &q);
  double qq = q * q, w = qq + n * n, m = n / (q * w);
  *t = w * m;
  *s = (qq + qq) * m;
}

static void plan(const double *length, const double *area)
{
  static const double size[6] = { 1, 2, 2, 4, 4, 8 };
  for (int i = 0; i <= sections; i++) {
    root[i] = sqrt(area[i]);
    per_root[i] = 1 / root[i];
  }
  for (int i = 0; i < sections; i++) {
    int joined = i > 0 && i != tap_near && i != tap_far;
    slope[i] = (root[i + 1] - root[i]) / length[i];
    half[i] = length[i] / 2;
    in[i] = slope[i] / root[i];
    before[i] = joined ? slope[i - 1] / root[i] : 0;
    turn[i] = in[i] - before[i];
    if (walls) {
      double radius = (root[i] + root[i + 1]) / 2 / sqrt(M_PI), power = 1;
      for (int t = 0; t < 6; t++) {
        power /= radius;
        series[i][t] = wave[t] * size[t] * power;
        series[i][6 + t] = flow[t] * size[t] * power;
      }
    }
  }
}

/* closes the path at one frequency and applies the driver: near pressure per flow is h1, far is h2 and q2 (times -j rho c) */
static inline void finish(int f, double h1r, double h1i, double h2r, double h2i, double q2r, double q2i, double hr, double hi, double vr, double vi, double qr, double qi, double ur, double ui, double *out)
{
  double zr = mouth_re[f] * per_rc, zi = mouth_im[f] * per_rc;
  double dr = hr + zr * vi + zi * vr, di = hi - zr * vr + zi * vi, id = 1 / (dr * dr + di * di), ir = dr * id, ii = -di * id;
  double tr = rc * (zr * ur - zi * ui - qi), ti = rc * (zr * ui + zi * ur + qr), ar = tr * ir - ti * ii, ai = tr * ii + ti * ir;
  double pr = ar * h1r - ai * h1i, pi = ar * h1i + ai * h1r;
  double br = ar * h2r - ai * h2i + rc * q2i, bi = ar * h2i + ai * h2r - rc * q2r;
  double wr = h1r - h2r, wi = h1i - h2i, mr = wr * ir - wi * ii, mi = wr * ii + wi * ir;
  double w = omega[f], ei = w * le, ss = sd * sd, yr = rms + ss * (pr - br), yi = w * mms - stiffness * iw[f] + ss * (pi - bi);
  double er = re + source, gr = er * yr - ei * yi + bl * bl, gi = er * yi + ei * yr, scale = bl * voltage / (gr * gr + gi * gi);
  double xr = gr * scale, xi = -gi * scale, cr = sd * xr, ci = sd * xi, back = bl * bl / (yr * yr + yi * yi);
  out[f] = xr;
  out[n + f] = xi;
  out[2 * n + f] = re + yr * back;
  out[3 * n + f] = ei - yi * back;
  out[4 * n + f] = mr * cr - mi * ci;
  out[5 * n + f] = mr * ci + mi * cr;
  out[6 * n + f] = pr * cr - pi * ci;
  out[7 * n + f] = pr * ci + pi * cr;
  out[8 * n + f] = br * cr - bi * ci;
  out[9 * n + f] = br * ci + bi * cr;
}

static void lossless(double *out)
{
  const int stops[3] = { tap_near, tap_far, sections };
  for (int f = 0; f < n; f += 2) {
    int g = f + 1 < n ? f + 1 : f;
    double k1 = k0[f], ik1 = ik0[f], k2 = k0[g], ik2 = ik0[g], hf1 = root[0], hg1 = 0, qf1 = 0, qg1 = 0, hf2 = root[0], hg2 = 0, qf2 = 0, qg2 = 0;
    double h1a = 0, h2a = 0, q2a = 0, h1b = 0, h2b = 0, q2b = 0;
    int i = 0;
    for (int e = 0; e < 3; e++) {
      double last1 = 0, last2 = 0;
      for (; i < stops[e]; i++) {
        double s1, t1, s2, t2;
        half_turn(k1 * half[i], &s1, &t1);
        half_turn(k2 * half[i], &s2, &t2);
        double push1 = turn[i] * ik1 - last1 - t1, push2 = turn[i] * ik2 - last2 - t2;
        last1 = t1;
        last2 = t2;
        hg1 += push1 * hf1;
        hg2 += push2 * hf2;
        qg1 += push1 * qf1;
        qg2 += push2 * qf2;
        hf1 += s1 * hg1;
        hf2 += s2 * hg2;
        qf1 += s1 * qg1;
        qf2 += s2 * qg2;
      }
      double t = slope[i - 1] * per_root[i], t1 = t * ik1 + last1, t2 = t * ik2 + last2, p = per_root[i];
      hg1 -= t1 * hf1;
      qg1 -= t1 * qf1;
      hg2 -= t2 * hf2;
      qg2 -= t2 * qf2;
      if (e == 0) {
        h1a = hf1 * p;
        h1b = hf2 * p;
        qg1 += p;
        qg2 += p;
      } else if (e == 1) {
        h2a = hf1 * p;
        h2b = hf2 * p;
        q2a = qf1 * p;
        q2b = qf2 * p;
        qg1 -= p;
        qg2 -= p;
      }
    }
    double r = root[sections], p = per_root[sections];
    finish(f, h1a, 0, h2a, 0, q2a, 0, hf1 * p, 0, hg1 * r, 0, qf1 * p, 0, qg1 * r, 0, out);
    finish(g, h1b, 0, h2b, 0, q2b, 0, hf2 * p, 0, hg2 * r, 0, qf2 * p, 0, qg2 * r, 0, out);
  }
}

static void lossy(double *out)
{
  const int stops[3] = { tap_near, tap_far, sections };
  for (int f = 0; f < n; f++) {
    double k = k0[f], ik = ik0[f], d = layer[f], d2 = d * d, d3 = d2 * d, d4 = d2 * d2, d5 = d4 * d, d6 = d4 * d2;
    double hfr = root[0], hfi = 0, hgr = 0, hgi = 0, qfr = 0, qfi = 0, qgr = 0, qgi = 0, h1r = 0, h1i = 0, h2r = 0, h2i = 0, q2r = 0, q2i = 0, vr = 1, vi = 0;
    int i = 0;
    for (int e = 0; e < 3; e++) {
      double last_r = 0, last_i = 0;
      for (; i < stops[e]; i++) {
        const double *a = series[i], *b = a + 6;
        double pr = vr, pi = vi;
        double a1 = a[0] * d, a3 = a[2] * d3, a5 = a[4] * d5, b1 = b[0] * d, b3 = b[2] * d3, b5 = b[4] * d5;
        double kr = 1 + (a1 - a3 - (a[3] * d4 + a5)), ki = a[5] * d6 + a5 - a3 - a[1] * d2 - a1;
        vr = 1 + (b1 - b3 - (b[3] * d4 + b5));
        vi = b[5] * d6 + b5 - b3 - b[1] * d2 - b1;
        double ta = in[i] * ik, tb = before[i] * ik, tr = ta * vr - tb * pr, ti = ta * vi - tb * pi;
        double x = k * half[i], g = -2 * x * ki, gg = g * g, ch, sh;
        double y = x * kr, fn, fq;
        half_fraction(y, &fn, &fq);
        double qq = fq * fq, nn = fn * fn, w = qq + nn, s = 2 * fn * fq, c = qq - nn;
        if (g < 0.02) {
          ch = 1 + gg * (1.0 / 2 + gg * (1.0 / 24));
          sh = g * (1 + gg * (1.0 / 6 + gg * (1.0 / 120)));
        } else {
          ch = cosh(g);
          sh = sinh(g);
        }
        double ur = kr * vr - ki * vi, ui = kr * vi + ki * vr, uu = ur * ur + ui * ui, wh = w * sh, sum = c + w * ch, wu = w * uu, both = 1 / (sum * wu);
        double by = both * wu, size = both * sum, sr = s * ch, si = c * sh;
        double ar = size * (sr * ur - si * ui), ai = -size * (si * ur + sr * ui);
        tr -= last_r;
        ti -= last_i;
        last_r = by * (s * ur + wh * ui);
        last_i = by * (s * ui - wh * ur);
        tr -= last_r;
        ti -= last_i;
        hgr += tr * hfr - ti * hfi;
        hgi += tr * hfi + ti * hfr;
        qgr += tr * qfr - ti * qfi;
        qgi += tr * qfi + ti * qfr;
        hfr += ar * hgr - ai * hgi;
        hfi += ar * hgi + ai * hgr;
        qfr += ar * qgr - ai * qgi;
        qfi += ar * qgi + ai * qgr;
      }
      double t = slope[i - 1] * per_root[i] * ik, tr = t * vr + last_r, ti = t * vi + last_i, p = per_root[i];
      hgr -= tr * hfr - ti * hfi;
      hgi -= tr * hfi + ti * hfr;
      qgr -= tr * qfr - ti * qfi;
      qgi -= tr * qfi + ti * qfr;
      if (e == 0) {
        h1r = hfr * p;
        h1i = hfi * p;
        qgr += p;
      } else if (e == 1) {
        h2r = hfr * p;
        h2i = hfi * p;
        q2r = qfr * p;
        q2i = qfi * p;
        qgr -= p;
      }
    }
    double r = root[sections], p = per_root[sections];
    finish(f, h1r, h1i, h2r, h2i, q2r, q2i, hfr * p, hfi * p, hgr * r, hgi * r, qfr * p, qfi * p, qgr * r, qgi * r, out);
  }
}

static void solve(const double *design, double *out)
{
  plan(design, design + sections);
  if (walls) lossy(out);
  else lossless(out);
}

static double now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int count, char **words)
{
  if (count < 4) return 2;
  FILE *file = fopen(words[1], "rb");
  if (!file) return 2;
  fseek(file, 0, SEEK_END);
  long size = ftell(file);
  rewind(file);
  double *all = malloc(size);
  if (fread(all, 1, size, file) != (size_t)size) return 2;
  fclose(file);
  int designs = (int)all[0];
  sections = (int)all[1]; n = (int)all[2]; tap_near = (int)all[3]; tap_far = (int)all[4];
  double rho = all[5], c = all[6], mu = all[7];
  re = all[8]; le = all[9]; bl = all[10]; mms = all[11]; cms = all[12]; rms = all[13]; sd = all[14]; voltage = all[15]; source = all[16];
  memcpy(wave, all + 17, sizeof wave);
  memcpy(flow, all + 23, sizeof flow);
  walls = !strcmp(words[2], "walls");
  rc = rho * c;
  per_rc = 1 / rc;
  if (sections > MOST) return 2;
  const double *frequencies = all + HEAD;
  mouth_re = all + HEAD + n;
  mouth_im = all + HEAD + 2 * n;
  const double *cases = all + HEAD + 3 * n;
  omega = malloc(5 * n * sizeof(double));
  stiffness = 1 / cms;
  iw = omega + 4 * n;
  k0 = omega + n;
  ik0 = omega + 2 * n;
  layer = omega + 3 * n;
  for (int f = 0; f < n; f++) {
    omega[f] = 2 * M_PI * frequencies[f];
    iw[f] = 1 / omega[f];
    k0[f] = omega[f] / c;
    ik0[f] = c / omega[f];
    layer[f] = sqrt(2 * mu / (omega[f] * rho));
  }
  int stride = 2 * sections + 1;
  double *out = malloc((size_t)designs * ROWS * n * sizeof(double)), *scratch = malloc(ROWS * n * sizeof(double));
  for (int d = 0; d < designs; d++) solve(cases + d * stride, out + (size_t)d * ROWS * n);
  file = fopen(words[3], "wb");
  if (!file) return 2;
  fwrite(out, sizeof(double), (size_t)designs * ROWS * n, file);
  fclose(file);
  puts("ready");
  fflush(stdout);
  char line[64];
  while (fgets(line, sizeof line, stdin)) {
    double start = now(), sum = 0;
    long done = 0;
    while (now() - start < 0.2) {
      for (int d = 0; d < designs; d++) {
        solve(cases + d * stride, scratch);
        sum += scratch[4 * n + 7];
      }
      done += designs;
    }
    printf("%.4f %g\n", (now() - start) / done * 1e6, sum > 1e300 ? 1.0 : 0.0);
    fflush(stdout);
  }
  return 0;
}
