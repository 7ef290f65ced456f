/** CIE L*a*b* relative to D50. */
export type Lab = readonly [l: number, a: number, b: number];

const degree = Math.PI / 180;
const pow25to7 = 25 ** 7;

/** Several times quicker than the power operator and Math.hypot, of which one difference would need seven. */
function pow7(value: number): number {
  const cube = value * value * value;
  return cube * cube * value;
}

function chromaOf(a: number, b: number): number {
  return Math.sqrt(a * a + b * b);
}

/**
 * CIEDE2000 colour difference with kL = kC = kH = 1. About 1 is what people just notice side by side.
 * Formula after Sharma, Wu and Dalal, 'The CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary
 * Test Data, and Mathematical Observations', Color Research and Application 30(1), 2005.
 */
export function ciede2000(one: Lab, two: Lab): number {
  const meanC = (chromaOf(one[1], one[2]) + chromaOf(two[1], two[2])) / 2;
  const g = 0.5 * (1 - Math.sqrt(pow7(meanC) / (pow7(meanC) + pow25to7)));
  const [a1, a2] = [one[1] * (1 + g), two[1] * (1 + g)];
  const [c1, c2] = [chromaOf(a1, one[2]), chromaOf(a2, two[2])];
  const [h1, h2] = [hue(a1, one[2]), hue(a2, two[2])];

  const deltaL = two[0] - one[0];
  const deltaC = c2 - c1;
  const deltaH = 2 * Math.sqrt(c1 * c2) * Math.sin((hueStep(h1, h2, c1 * c2) / 2) * degree);

  const l = (one[0] + two[0]) / 2;
  const c = (c1 + c2) / 2;
  const h = meanHue(h1, h2, c1 * c2);
  const t =
    1 -
    0.17 * Math.cos((h - 30) * degree) +
    0.24 * Math.cos(2 * h * degree) +
    0.32 * Math.cos((3 * h + 6) * degree) -
    0.2 * Math.cos((4 * h - 63) * degree);
  const sL = 1 + (0.015 * (l - 50) ** 2) / Math.sqrt(20 + (l - 50) ** 2);
  const sC = 1 + 0.045 * c;
  const sH = 1 + 0.015 * c * t;
  const turn = 60 * Math.exp(-(((h - 275) / 25) ** 2));
  const rT = -2 * Math.sqrt(pow7(c) / (pow7(c) + pow25to7)) * Math.sin(turn * degree);
  const [dL, dC, dH] = [deltaL / sL, deltaC / sC, deltaH / sH];
  return Math.sqrt(dL * dL + dC * dC + dH * dH + rT * dC * dH);
}

/** Hue angle from 0 to 360 degrees; 0 for a neutral. */
function hue(a: number, b: number): number {
  if (a === 0 && b === 0) return 0;
  const angle = Math.atan2(b, a) / degree;
  return angle < 0 ? angle + 360 : angle;
}

/** The shorter way round from one hue to the other; none where one of the two is neutral. */
function hueStep(h1: number, h2: number, chromaProduct: number): number {
  if (chromaProduct === 0) return 0;
  const step = h2 - h1;
  if (step > 180) return step - 360;
  return step < -180 ? step + 360 : step;
}

function meanHue(h1: number, h2: number, chromaProduct: number): number {
  if (chromaProduct === 0) return h1 + h2;
  if (Math.abs(h1 - h2) <= 180) return (h1 + h2) / 2;
  return h1 + h2 < 360 ? (h1 + h2 + 360) / 2 : (h1 + h2 - 360) / 2;
}
