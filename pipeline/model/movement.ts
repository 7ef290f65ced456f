import { figureBeside } from '../../config/figures.js';
import type { RegisterMeasures } from './page-result.js';

/** A movement of a whole picture in what people read: about the middle of the page. */
export type MovementMeasures = Pick<
  RegisterMeasures,
  'rightMm' | 'downMm' | 'turnedDegrees' | 'largerPercent' | 'farthestMm'
>;

/**
 * How far line may lie off its colour anywhere on the page, and lettering off its page, in millimetres. What sheet-fed offset holds
 * from ink to ink: common practice, no published source.
 */
export const registerLimitMm = 0.1;

/**
 * @param limitMm what the farthest corner is held against
 * @returns `0.21 mm right, 0.02 mm up, turned by 0.10 degrees, 0.34 mm at the farthest corner`. */
export function movementWords(measures: MovementMeasures, limitMm = registerLimitMm): string {
  const { rightMm, downMm, turnedDegrees, largerPercent, farthestMm } = measures;
  const words = [
    sided(rightMm, ' mm right', ' mm left'),
    sided(downMm, ' mm down', ' mm up'),
    sided(turnedDegrees, ' degrees clockwise', ' degrees anticlockwise'),
    sided(largerPercent, ' % larger', ' % smaller'),
    `${figureBeside(farthestMm, limitMm, 2)} mm at the farthest corner`,
  ];
  return words.filter((word) => word !== '').join(', ');
}

/** A figure to two decimals with the word for its sign; nothing where it rounds to nought. */
function sided(value: number, above: string, below: string): string {
  const text = Math.abs(value).toFixed(2);
  return Number(text) === 0 ? '' : text + (value > 0 ? above : below);
}
