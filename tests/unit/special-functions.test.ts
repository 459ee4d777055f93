import { describe, expect, test } from "vitest";
import { bessel01, besselRatio10 } from "../../src/math/bessel.js";
import { besselJ1, struveH1 } from "../../src/math/struve.js";
import { expectClose, expectComplexClose } from "../support/close.js";

const out = new Float64Array(8);

describe("Bessel functions of order zero and one", () => {
  const source = "scipy.special j0, j1, y0, y1 (AMOS and Cephes)";
  test.each([
    [0.5, 0.938469807240813, 0.24226845767487387, -0.4445187335067066, -1.4714723926702433],
    [5, -0.1775967713143383, -0.3275791375914653, -0.30851762524903303, 0.14786314339122691],
    [13.9, 0.18357985545786953, 0.11652489036905626, 0.10985918945952673, -0.17975095106954841],
    [14.1, 0.1569528770326011, 0.14878435129739373, 0.14313622862254471, -0.15198133346781784],
    [30, -0.08636798358104031, -0.11875106261662305, -0.11729573168666398, 0.08442557066174713],
  ])("real argument %f", (x, j0, j1, y0, y1) => {
    bessel01(x, 0, out, 0);
    expectClose(out[0]!, j0, 1e-10, source);
    expectClose(out[2]!, j1, 1e-10, source);
    expectClose(out[4]!, y0, 1e-10, source);
    expectClose(out[6]!, y1, 1e-10, source);
    for (const i of [1, 3, 5, 7]) expect(out[i]).toBe(0);
  });

  test("complex argument 10 - 3j", () => {
    bessel01(10, -3, out, 0);
    expectComplexClose([out[0]!, out[1]!], [-2.4856749376593354, 0.18711053558356894], 1e-10, source);
    expectComplexClose([out[2]!, out[3]!], [0.07375341494331884, 2.45127993686237], 1e-10, source);
    expectComplexClose([out[4]!, out[5]!], [0.19150516258752542, 2.474243925283953], 1e-10, source);
    expectComplexClose([out[6]!, out[7]!], [2.4630767672231104, -0.06981099616453816], 1e-10, source);
  });

  test("the series and the asymptotic form meet where they change over: J0 Y1 - J1 Y0 = -2 / (pi z) (Abramowitz & Stegun 9.1.16)", () => {
    for (const [re, im] of [[13.99, 0], [14.01, 0], [13.9, -1.5], [14.2, -1.5], [0.003, -0.001], [400, -2]] as const) {
      bessel01(re, im, out, 0);
      const wr = out[0]! * out[6]! - out[1]! * out[7]! - (out[2]! * out[4]! - out[3]! * out[5]!), wi = out[0]! * out[7]! + out[1]! * out[6]! - (out[2]! * out[5]! + out[3]! * out[4]!);
      const q = re * re + im * im;
      expectComplexClose([wr, wi], [(-2 * re) / (Math.PI * q), (2 * im) / (Math.PI * q)], 1e-9, "Wronskian");
    }
  });

  test("zero gives J0 = 1, J1 = 0, minus infinity for Y and no NaN", () => {
    bessel01(0, 0, out, 0);
    expect([...out]).toEqual([1, 0, 0, 0, -Infinity, 0, -Infinity, 0]);
  });
});

describe("ratio J1 / J0 below the real axis", () => {
  test.each([[1, 0.3505476938512593, -0.57495795977224], [5, 0.052799806066649045, -0.9503859560201864], [17, 0.014928464338689437, -0.9853010981042217], [18, 0.014087117446361251, -0.9861169610887478], [100, 0.0025062812447888146, -0.9975000317433572]])("z = %f (1 - j)", (x, re, im) => {
    besselRatio10(x, -x, out, 0);
    expectComplexClose([out[0]!, out[1]!], [re, im], 1e-11, "scipy.special.jve(1, z) / jve(0, z)");
  });
  test("small arguments: z / 2", () => {
    besselRatio10(1e-6, -1e-6, out, 0);
    expectComplexClose([out[0]!, out[1]!], [5e-7, -5e-7], 1e-9, "Abramowitz & Stegun 9.1.7");
    besselRatio10(0, 0, out, 0);
    expect([out[0], out[1]]).toEqual([0, 0]);
  });
});

describe("Struve function H1", () => {
  test.each([[0.5, 0.05217374424234107], [11.9, 0.6063169081814536], [12.1, 0.5621494827516003], [20, 0.4726881842910433]])("x = %f", (x, wanted) => {
    expectClose(struveH1(x), wanted, 1e-10, "scipy.special.struve");
  });
  test("J1 at its first zero", () => expect(Math.abs(besselJ1(3.8317059702075125))).toBeLessThan(1e-14));
});
