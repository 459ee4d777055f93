"""The kernel of single paths with numpy arrays over frequency, as a yardstick; run by single-path.bench.mjs."""
import sys
import time

import numpy as np

cases = np.fromfile(sys.argv[1])
walls = sys.argv[2] == "walls"
designs, sections, n, near, far = (int(x) for x in cases[:5])
rho, c, mu, Re, Le, Bl, Mms, Cms, Rms, Sd, voltage, source = cases[5:17]
wave, flow = cases[17:23], cases[23:29]
f, mouth = cases[32 : 32 + n], cases[32 + n : 32 + 2 * n] + 1j * cases[32 + 2 * n : 32 + 3 * n]
shapes = cases[32 + 3 * n :].reshape(designs, 2 * sections + 1)
omega = 2 * np.pi * f
k0 = omega / c
ik = 1 / k0
rc = rho * c
zeta = mouth / rc
x1 = (1 - 1j) * np.sqrt(2 * mu / (omega * rho))
Ze = Re + source + 1j * omega * Le
Zm = Rms + 1j * (omega * Mms - 1 / (omega * Cms))


def series(terms, x):
    total = terms[5] * x
    for t in terms[4::-1]:
        total = (total + t) * x
    return 1 + total


def solve(design):
    length, r = design[:sections], np.sqrt(design[sections:])
    slope = np.diff(r) / length
    hf, hg, qf, qg = r[0], 0.0, 0.0, 0.0
    v = 1.0
    kept = {}
    for i in range(sections):
        before = v
        if walls:
            x = x1 / ((r[i] + r[i + 1]) / 2 / np.sqrt(np.pi))
            K, v = series(wave, x), series(flow, x)
            k, u = k0 * K, K * v
        else:
            k, u = k0, 1.0
        fresh = i == 0 or i == near or i == far
        t = (slope[i] * v - (0 if fresh else slope[i - 1] * before)) / r[i] * ik
        hg, qg = hg + t * hf, qg + t * qf
        s, co = np.sin(k * length[i]), np.cos(k * length[i])
        a, b = s / u, s * u
        hf, hg = co * hf + a * hg, co * hg - b * hf
        qf, qg = co * qf + a * qg, co * qg - b * qf
        if i + 1 in (near, far, sections):
            t = slope[i] / r[i + 1] * ik * v
            hg, qg = hg - t * hf, qg - t * qf
            kept[i + 1] = (hf / r[i + 1], qf / r[i + 1])
            if i + 1 == near:
                qg = qg + 1 / r[i + 1]
            elif i + 1 == far:
                qg = qg - 1 / r[i + 1]
    h, hv, q, qu = hf / r[-1], hg * r[-1], qf / r[-1], qg * r[-1]
    d = h - 1j * zeta * hv
    amount = rc * (zeta * qu + 1j * q) / d
    h1, h2 = kept[near][0], kept[far][0]
    front, back = amount * h1, amount * h2 - 1j * rc * kept[far][1]
    z = Zm + Sd**2 * (front - back)
    velocity = Bl * voltage / (Ze * z + Bl**2)
    flow_out = (h1 - h2) / d * Sd * velocity
    return velocity, Ze - source + Bl**2 / z, flow_out, front * Sd * velocity, back * Sd * velocity


rows = np.empty((designs, 10, n))
for i, shape in enumerate(shapes):
    for j, value in enumerate(solve(shape)):
        rows[i, 2 * j], rows[i, 2 * j + 1] = value.real, value.imag
rows.tofile(sys.argv[3])
print("ready", flush=True)
for _ in sys.stdin:
    start = time.process_time()
    done = 0
    while time.process_time() - start < 0.2:
        solve(shapes[done % designs])
        done += 1
    print(f"{(time.process_time() - start) / done * 1e6:.4f}", flush=True)
