import {
  boardHeardAt,
  boardsHeard,
  type HeardBoard,
  isBoardSilent,
} from '../minutes/boards-heard.ts';
import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

/** Boards that fell silent this close together fell silent from one cause. [ms] */
const TOGETHER_MS = 3 * MINUTE;

/**
 * Nothing of a board is heard: none of its points for longer than the most talkative of them usually
 * rests, or its last will says that it is gone. It is told about the first of its points that were heard;
 * of the points that no board names as one, without a point. Where all boards fall silent together, the
 * first speaks for them.
 */
export const deviceSilent: Rule = {
  fault: 'device-silent',
  severity: 'act',
  onMs: MINUTE,
  offMs: 2 * MINUTE,
  needs: [],
  mutedBy: ['broker-lost'],
  subjects: (heard, settings) => boardsHeard(settings, heard).map(subjectOf),
  minute(minute, _, point): Finding {
    const { t, heard, outside } = minute;
    if (outside.linkDownSince !== null) return 'blind';
    const boards = boardsHeard(minute.settings, Object.keys(heard));
    const board = boards.find((one) => (subjectOf(one) ?? '') === point);
    if (!board) return 'gone';
    const heardAt = boardHeardAt(board, heard);
    const saidGoodbye = board.name !== null && outside.gone.has(board.name);
    if (!saidGoodbye && !isBoardSilent(board, heard, t)) return 'gone';
    const others = boards.filter((other) => other !== board);
    const together = others.filter(
      (other) =>
        isBoardSilent(other, heard, t) &&
        Math.abs(boardHeardAt(other, heard) - heardAt) <= TOGETHER_MS,
    );
    const all = others.length > 0 && together.length === others.length;
    if (!saidGoodbye && !all && isOneSensor(board, boards)) return 'gone';
    if (all && board !== boards[0]) return 'between';
    return {
      since: heardAt,
      evidence: {
        board: board.name,
        points: board.points.length,
        minutes: Math.round((t - heardAt) / MINUTE),
        heardAt: new Date(heardAt).toISOString(),
        lastWill: saidGoodbye,
        allBoards: all,
      },
    };
  },
};

/**
 * A board that tells of one point only, while others are heard: whether its sensor or all of it is silent
 * comes to the same, and the sensor says it plainer.
 */
export const isOneSensor = ({ points }: HeardBoard, boards: readonly HeardBoard[]): boolean =>
  points.length === 1 && boards.length > 1;

const subjectOf = ({ name, points }: HeardBoard): string | null =>
  name === null ? null : points[0]!;
