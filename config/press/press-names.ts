/** Names of the press conditions that ship with platehand, each called after its characterization data set. */
export const shippedPressNames = [
  'cgats-tr002',
  'cgats-tr003',
  'cgats-tr005',
  'cgats-tr006',
  'fogra39l',
  'fogra29l',
  'fogra30l',
] as const;
export type ShippedPressName = (typeof shippedPressNames)[number];
