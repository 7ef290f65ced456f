import { type DarkPlane, inkLevel } from './dark-planes.js';

/**
 * Text without balloons of its own, on a page that has them drawn: it stands in them, and where it runs across their outlines all over
 * the page it has been moved. Looked at in squares of 2 x 2 pixels of the planes, a third of a millimetre.
 */

/** How far text is looked for around its place, in squares: 8 mm. */
const reach = 24;
/** Where letters lie no farther apart than twice this, in squares, they are of one group. */
const joinSquares = 2;
/** Smaller groups are marks and dirt. */
const leastGroupSquares = 6;
/** So many groups have to be on the page, and this share of them, three at least, run across something. */
const leastGroups = 4;
const leastHit = 3;
const hitShare = 0.3;
/** Moved back, this share of the groups has to stand in balloons, and none may run across anything. */
const housedShare = 0.9;
/** A balloon is closed, and covers less of the page than this. */
const largestBalloon = 0.03;
/** A group that has a light ground of its own around it, over this share of its box, says nothing. */
const ownGround = 0.3;

/** How far text has to be moved to stand in the balloons of the page, in pixels of the plane, and the groups that it has. */
export interface HousedText {
  readonly dx: number;
  readonly dy: number;
  readonly groups: number;
  /** Those that run across something where they are. */
  readonly hit: number;
}

/** @returns undefined where the text runs across nothing, or there is no one place where it would not */
export function findHousing(text: DarkPlane, page: DarkPlane): HousedText | undefined {
  const letters = squaresOf(text);
  const groups = groupsOf(letters, text);
  if (groups.length < leastGroups) return undefined;
  const walls = squaresOf(page);
  const isHit = (group: Group) => group.some((at) => walls.inked[at] === 1);
  const hit = groups.filter(isHit).length;
  if (hit < leastHit || hit < hitShare * groups.length) return undefined;
  const rooms = roomsOf(walls);
  const free: { right: number; down: number }[] = [];
  for (let down = -reach; down <= reach; down++) {
    for (let right = -reach; right <= reach; right++) {
      if (isHoused(groups, walls, rooms, right, down)) free.push({ right, down });
    }
  }
  if (free.length === 0) return undefined;
  const mean = (axis: 'right' | 'down') => (2 * free.reduce((sum, one) => sum + one[axis], 0)) / free.length;
  return { dx: mean('right'), dy: mean('down'), groups: groups.length, hit };
}

/** Squares with ink in them. */
interface Squares {
  readonly columns: number;
  readonly rows: number;
  readonly inked: Uint8Array;
}

/** Indices of squares. */
type Group = readonly number[];

function squaresOf({ width, height, dark }: DarkPlane): Squares {
  const [columns, rows] = [width >> 1, height >> 1];
  const inked = new Uint8Array(columns * rows);
  for (let y = 0, i = 0; y < rows; y++) {
    for (let x = 0; x < columns; x++, i++) {
      const at = 2 * y * width + 2 * x;
      const most = Math.max(dark[at], dark[at + 1], dark[at + width], dark[at + width + 1]);
      if (most >= inkLevel) inked[i] = 1;
    }
  }
  return { columns, rows, inked };
}

/** Groups of letters that have no ground of their own. */
function groupsOf(letters: Squares, text: DarkPlane): Group[] {
  const { columns, rows, inked } = letters;
  const joined = new Uint8Array(inked.length);
  for (let i = 0; i < inked.length; i++) {
    if (inked[i] === 0) continue;
    const [x, y] = [i % columns, Math.floor(i / columns)];
    const left = Math.max(0, x - joinSquares);
    const right = Math.min(columns, x + joinSquares + 1);
    for (let row = Math.max(0, y - joinSquares); row <= Math.min(rows - 1, y + joinSquares); row++) {
      joined.fill(1, row * columns + left, row * columns + right);
    }
  }
  const { labels, sizes } = labelled({ columns, rows, inked: joined }, 1);
  const groups = Array.from({ length: sizes.length }, (): number[] => []);
  for (let i = 0; i < inked.length; i++) if (inked[i] === 1) groups[labels[i]].push(i);
  return groups.filter((group) => group.length >= leastGroupSquares && !hasGround(group, letters, text));
}

function hasGround(group: Group, { columns }: Squares, { width, backed }: DarkPlane): boolean {
  const xs = group.map((at) => at % columns);
  const ys = group.map((at) => Math.floor(at / columns));
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  let covered = 0;
  for (let y = top; y <= bottom; y++) {
    for (let x = left; x <= right; x++) covered += backed[2 * y * width + 2 * x];
  }
  return covered >= ownGround * (right - left + 1) * (bottom - top + 1);
}

/** For every square without ink which closed room it is in, and whether that is as small as a balloon. */
interface Rooms {
  readonly labels: Int32Array;
  readonly isSmall: readonly boolean[];
}

function roomsOf(walls: Squares): Rooms {
  const { labels, sizes } = labelled(walls, 0);
  const most = largestBalloon * walls.inked.length;
  return { labels, isSmall: sizes.map((size) => size <= most) };
}

/** Numbers the pieces of squares that hold a value, joined by their sides; -1 elsewhere. */
function labelled({ columns, rows, inked }: Squares, value: 0 | 1): { labels: Int32Array; sizes: number[] } {
  const labels = new Int32Array(inked.length).fill(-1);
  const sizes: number[] = [];
  const open = new Int32Array(inked.length);
  for (let first = 0; first < inked.length; first++) {
    if (inked[first] !== value || labels[first] >= 0) continue;
    let [from, to] = [0, 1];
    open[0] = first;
    labels[first] = sizes.length;
    while (from < to) {
      const at = open[from++];
      const x = at % columns;
      const reach = (next: number, isOn: boolean) => {
        if (!isOn || inked[next] !== value || labels[next] >= 0) return;
        labels[next] = sizes.length;
        open[to++] = next;
      };
      reach(at - 1, x > 0);
      reach(at + 1, x + 1 < columns);
      reach(at - columns, at >= columns);
      reach(at + columns, at < columns * (rows - 1));
    }
    sizes.push(to);
  }
  return { labels, sizes };
}

function isHoused(
  groups: readonly Group[],
  { columns, rows }: Squares,
  { labels, isSmall }: Rooms,
  right: number,
  down: number,
): boolean {
  let housed = 0;
  for (const group of groups) {
    let room: number | undefined;
    for (const at of group) {
      const [x, y] = [(at % columns) + right, Math.floor(at / columns) + down];
      const label = x < 0 || y < 0 || x >= columns || y >= rows ? -1 : labels[y * columns + x];
      if (label < 0) return false;
      room ??= label;
      if (room !== label) return false;
    }
    if (room !== undefined && isSmall[room]) housed++;
  }
  return housed >= housedShare * groups.length;
}
