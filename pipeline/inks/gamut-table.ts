import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { type ColourSpace, type LoadedProfile, tableTransform } from '../../config/press/colour-engine.js';
import type { InkLooks } from './ink-looks.js';

/**
 * How far a press misses each colour of an RGB space: the colour to the nearest inks and back, by the relative colorimetric tables of
 * the press condition's profile. The press's black is never as deep as a screen's, which is no colour that it misses: what is wanted is
 * first laid on that black, as black point compensation does.
 */
export interface GamutTable {
  /** CIEDE2000 between a colour and the nearest that the press has; channels from 0 to 1. */
  differenceAt(red: number, green: number, blue: number): number;
}

/** Nodes along each channel: what is between two of them is straight enough, see test/reference/gamut.test.ts. */
const gridPoints = 21;
const last = gridPoints - 1;

/** Builds the table, which takes some 40 ms: keep it. @throws PlatehandError `colour-engine` */
export function gamutTable(source: ColourSpace, press: LoadedProfile, looks: InkLooks): GamutTable {
  const nearest = { from: source, to: press, intent: 'relative', blackPointCompensation: true } as const;
  const seen = { from: source, to: 'lab', intent: 'relative', blackPointCompensation: false } as const;
  const inks = Uint16Array.from(tableTransform(nearest, gridPoints, 16).nodes, (ink) =>
    Math.round(ink * 65535),
  );
  const printed = looks.labOfInks(inks);
  const { nodes } = tableTransform(seen, gridPoints, 16);
  const painted = (node: number): Lab => [
    nodes[node * 3] * 100,
    nodes[node * 3 + 1] * 255 - 128,
    nodes[node * 3 + 2] * 255 - 128,
  ];
  const ontoPress = compensated(painted(0)[0], printed[0]);
  const differences = new Float32Array(printed.length / 3);
  for (let node = 0, at = 0; node < differences.length; node++, at += 3) {
    differences[node] = ciede2000(ontoPress(painted(node)), [printed[at], printed[at + 1], printed[at + 2]]);
  }
  return { differenceAt: (red, green, blue) => between(differences, red * last, green * last, blue * last) };
}

/**
 * Colours laid from one black on another: lightness and chroma scaled in XYZ, white kept (Adobe Systems' Black Point Compensation, 2006).
 * Blacks are taken as neutral.
 */
function compensated(fromBlack: number, toBlack: number): (colour: Lab) => Lab {
  const scale = (1 - relativeOf(toLobe(toBlack))) / (1 - relativeOf(toLobe(fromBlack)));
  const moved = (lobe: number) => lobeOf(1 - (1 - relativeOf(lobe)) * scale);
  return ([l, a, b]) => {
    const y = toLobe(l);
    const [movedX, movedY, movedZ] = [moved(y + a / 500), moved(y), moved(y - b / 200)];
    return [116 * movedY - 16, 500 * (movedX - movedY), 200 * (movedY - movedZ)];
  };
}

/** Of CIELAB (ISO/CIE 11664-4): where its cube root ends and its straight part begins, and how steep that is. */
const straightTo = 6 / 29;
const slope = 3 * straightTo ** 2;

const toLobe = (l: number) => (l + 16) / 116;
const relativeOf = (lobe: number) => (lobe > straightTo ? lobe ** 3 : slope * (lobe - 4 / 29));
const lobeOf = (relative: number) =>
  relative > straightTo ** 3 ? Math.cbrt(relative) : relative / slope + 4 / 29;

/** Linear between the eight nodes around a place, given in nodes along each channel. */
function between(table: Float32Array, red: number, green: number, blue: number): number {
  const r = Math.min(last - 1, red | 0);
  const g = Math.min(last - 1, green | 0);
  const b = Math.min(last - 1, blue | 0);
  const [u, v, w] = [red - r, green - g, blue - b];
  const at = (r * gridPoints + g) * gridPoints + b;
  const along = (i: number) => table[i] + (table[i + 1] - table[i]) * w;
  const across = (i: number) => along(i) + (along(i + gridPoints) - along(i)) * v;
  const near = across(at);
  return near + (across(at + gridPoints * gridPoints) - near) * u;
}
