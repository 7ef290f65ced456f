import type { Hex } from '../ink/colour.js';

/** The colours of people and things under one scene's light. */
export interface Cast {
  readonly skin: Hex;
  readonly skinShade: Hex;
  readonly blush: Hex;
  readonly hair: Hex;
  readonly hairLight: Hex;
  readonly coat: Hex;
  readonly coatShade: Hex;
  readonly scarf: Hex;
  readonly scarfShade: Hex;
  readonly leggings: Hex;
  readonly boots: Hex;
  readonly brass: Hex;
  readonly brassShade: Hex;
  readonly brassLight: Hex;
  readonly patina: Hex;
  readonly patinaShade: Hex;
  readonly lens: Hex;
  readonly wood: Hex;
  readonly woodShade: Hex;
  readonly eyeWhite: Hex;
}

/** One scene's light: sky, sea, stone, roofs, and what hangs in the air between near and far. */
export interface Scene {
  readonly cast: Cast;
  readonly skyHigh: Hex;
  readonly skyLow: Hex;
  readonly cloud: Hex;
  readonly cloudShade: Hex;
  readonly haze: Hex;
  readonly sea: Hex;
  readonly seaDeep: Hex;
  readonly seaLight: Hex;
  readonly walls: readonly Hex[];
  readonly roofs: readonly Hex[];
  readonly stone: Hex;
  readonly stoneShade: Hex;
  readonly rock: Hex;
  readonly window: Hex;
  readonly trim: Hex;
  /** Light that reaches into shadows: shadows multiply by it. */
  readonly shadow: Hex;
  /** Beneath spotted blacks. */
  readonly deep: Hex;
  readonly caption: Hex;
  readonly lamp: Hex;
}

/** Morning: cream sky, jade water, coral roofs; shadows lean to violet. */
export const day: Scene = {
  cast: {
    skin: '#f0bd94',
    skinShade: '#c98a76',
    blush: '#e8765e',
    hair: '#2c2a4a',
    hairLight: '#6f86bd',
    coat: '#f2b632',
    coatShade: '#c77a2a',
    scarf: '#d8423a',
    scarfShade: '#97293b',
    leggings: '#3d4a6b',
    boots: '#5a3b3a',
    brass: '#d99a4a',
    brassShade: '#94563a',
    brassLight: '#f7d68a',
    patina: '#6fb5a0',
    patinaShade: '#3f7d80',
    lens: '#ffcf5a',
    wood: '#b5764a',
    woodShade: '#744238',
    eyeWhite: '#fdf3e2',
  },
  skyHigh: '#4fb0c6',
  skyLow: '#fbe3b4',
  cloud: '#fdf0d8',
  cloudShade: '#e3b8a8',
  haze: '#f3d9b8',
  sea: '#3fa39a',
  seaDeep: '#1f6f7d',
  seaLight: '#a8dcc0',
  walls: ['#f5cf86', '#eba877', '#c8dcb2', '#f3b49a', '#9fcabf', '#f7e0a8'],
  roofs: ['#d9643f', '#c24f43', '#e0834a', '#a84a4c', '#6f7f9a'],
  stone: '#d8c6a6',
  stoneShade: '#9c8592',
  rock: '#8a7482',
  window: '#43627a',
  trim: '#fdf3dc',
  shadow: '#8d86c4',
  deep: '#2a2148',
  caption: '#fff1c4',
  lamp: '#ffe08a',
};

/** Night: indigo and petrol, lit by what people light themselves. */
export const night: Scene = {
  cast: {
    skin: '#c99a8c',
    skinShade: '#5a5586',
    blush: '#d1705e',
    hair: '#14142e',
    hairLight: '#5578b8',
    coat: '#c9922f',
    coatShade: '#5c4a5e',
    scarf: '#b83a45',
    scarfShade: '#5a2350',
    leggings: '#26305a',
    boots: '#33274a',
    brass: '#b98446',
    brassShade: '#54406a',
    brassLight: '#ffd98a',
    patina: '#3f8a94',
    patinaShade: '#234a72',
    lens: '#ffd24a',
    wood: '#7a5560',
    woodShade: '#3c2f58',
    eyeWhite: '#f3e6cf',
  },
  skyHigh: '#10153f',
  skyLow: '#2f6b8c',
  cloud: '#34508a',
  cloudShade: '#1d2b62',
  haze: '#2c5f86',
  sea: '#17446a',
  seaDeep: '#0c1d45',
  seaLight: '#5fb3b8',
  walls: ['#33518a', '#2a4580', '#3d5c92', '#2f4a78', '#3a4f8a'],
  roofs: ['#24305f', '#2b2a5c', '#1e3563', '#33306a'],
  stone: '#4a6496',
  stoneShade: '#26356e',
  rock: '#222b5a',
  window: '#0d1538',
  trim: '#6f90b8',
  shadow: '#4a55a8',
  deep: '#070b26',
  caption: '#cfe3ea',
  lamp: '#ffc65a',
};

/** Memory: one brown ink's worth of colour, as in an old print. */
export const memory: Scene = {
  cast: {
    skin: '#ecd3b4',
    skinShade: '#b98d6c',
    blush: '#c98a66',
    hair: '#3a2218',
    hairLight: '#8a5f45',
    coat: '#cfa67c',
    coatShade: '#8f6448',
    scarf: '#a86a48',
    scarfShade: '#6b3d2a',
    leggings: '#6b4a38',
    boots: '#4f3226',
    brass: '#d9b48a',
    brassShade: '#96694a',
    brassLight: '#f6e3c4',
    patina: '#c19a74',
    patinaShade: '#7d573f',
    lens: '#fbeccb',
    wood: '#a87a58',
    woodShade: '#63402d',
    eyeWhite: '#f8ead2',
  },
  skyHigh: '#b58a66',
  skyLow: '#f3dfc0',
  cloud: '#f6e6cb',
  cloudShade: '#cfa884',
  haze: '#e6c8a2',
  sea: '#a67a58',
  seaDeep: '#5c3a29',
  seaLight: '#e8cda8',
  walls: ['#e3c39c', '#d6b087', '#edd4b0', '#c99f76'],
  roofs: ['#8f6044', '#7a4e38', '#a0704f'],
  stone: '#cdaa82',
  stoneShade: '#8f6a50',
  rock: '#7d583f',
  window: '#5c3a29',
  trim: '#f5e4c6',
  shadow: '#a0704f',
  deep: '#2a1710',
  caption: '#f8ebd2',
  lamp: '#fff0cc',
};
