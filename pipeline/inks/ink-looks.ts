import { type LoadedProfile, type TableTransform, tableTransform } from '../../config/press/colour-engine.js';
import type { ProcessPlanes } from '../model/separation.js';

/** What inks look like in print, as CIELAB: for comparing two mixes of them. */
export interface InkLooks {
  /**
   * @param planes of one length
   * @returns L, a, b of each pixel, interleaved; relative colorimetric, so that paper is L 100
   */
  labOf(planes: ProcessPlanes): Float32Array;
  /** The same of interleaved inks of 16 bit. */
  labOfInks(inks: Uint16Array): Float32Array;
}

/** Nodes along each ink: as many as the soft proof has. */
const gridPoints = 17;

/** The table is built when it is first needed. @throws PlatehandError `colour-engine` */
export function openInkLooks(press: LoadedProfile): InkLooks {
  let table: TableTransform | undefined;
  const labOfInks = (inks: Uint16Array) => {
    const how = { from: press, to: 'lab', intent: 'relative', blackPointCompensation: false } as const;
    table ??= tableTransform(how, gridPoints, 16);
    return looked(inks, table);
  };
  return { labOfInks, labOf: (planes) => labOfInks(interleaved(planes)) };
}

/** 65535 is 255 x 257. */
const to16 = 257;

function interleaved([cyan, magenta, yellow, black]: ProcessPlanes): Uint16Array {
  const count = cyan.length;
  const inks = new Uint16Array(count * 4);
  for (let i = 0, to = 0; i < count; i++) {
    inks[to++] = cyan[i] * to16;
    inks[to++] = magenta[i] * to16;
    inks[to++] = yellow[i] * to16;
    inks[to++] = black[i] * to16;
  }
  return inks;
}

/** Lab is encoded as L/100 and (a+128)/255, and takes all of 16 bit. */
function looked(inks: Uint16Array, table: TableTransform): Float32Array {
  const count = inks.length / 4;
  const encoded = new Uint16Array(count * 3);
  table.run(inks, count, encoded);
  const lab = new Float32Array(count * 3);
  for (let i = 0; i < lab.length; i += 3) {
    lab[i] = (encoded[i] * 100) / 65535;
    lab[i + 1] = (encoded[i + 1] * 255) / 65535 - 128;
    lab[i + 2] = (encoded[i + 2] * 255) / 65535 - 128;
  }
  return lab;
}
