import { type Course, Walk } from './course.ts';
import type { FlowCourse } from './flow.ts';
import { pointType } from './points.ts';
import type { Basis } from './shapes.ts';
import { sensorClass, type TubSettings } from './tub-settings.ts';
import { flowRelativeUncertainty, pairUncertaintyK } from './uncertainty.ts';
import {
  boilingC,
  densityAt,
  enthalpyAt,
  isLiquid,
  LOOP_MPA,
  saturationTemperatureC,
} from './water.ts';

/** What metered heat is worked out from, each as it ran over time. */
export interface MeteredInputs {
  settings: TubSettings;
  inlet: Course; // °C
  outlet: Course; // °C
  air: Course; // °C
  flow: FlowCourse; // l/min
  pump: Course; // 1 or 0
}

export interface MeteredHeat {
  gainKwh: number | null;
  lostKwh: number | null;
  /** How much of gain was measured. */
  measuredKwh: number | null;
  /** How gain is worked out, also where it is 0; null where nothing is covered. */
  basis: Basis;
  /** Milliseconds during which the inputs of the calculation were there. */
  coveredMs: number;
  /** Standard uncertainty of gain − lost by cause [kWh]; each stays the same error from day to day. */
  flowUncertaintyKwh: number;
  pairUncertaintyKwh: number;
  lossUncertaintyKwh: number;
  /** Volume that went round [l]; null where no flow was known. */
  litres: number | null;
}

/** Vapour comes before boiling does; nearer than this nothing is taken for water. [K] */
const BELOW_BOILING_K = 3;
/** Water that leaves for the collectors hotter than this comes from no tub: that loop is closed. */
const HOTTEST_TUB_C = pointType('tub/temperature')!.high;
/** A closed loop stands under pressure, and its water boils later. */
const closedTooHotC = saturationTemperatureC(LOOP_MPA)! - BELOW_BOILING_K;
/** Water with antifreeze carries less heat a litre than water does: factor and its uncertainty. */
const ANTIFREEZE = { factor: 0.93, uncertainty: 0.05 };
/** Heat that an insulated pipe loses [W/(m·K)], how well that is known, and the air where unheard. */
const PIPE = { wPerMK: 0.25, relativeUncertainty: 0.4, airC: 15 };
/**
 * How long a pipe's thermometer takes to follow the water, as a doubt [s]: some 10 to 30 s in a pocket,
 * 30 to 90 s strapped to the pipe, and nobody says which.
 */
const SETTLING_S = 45;
const KWH_PER_KJ = 1 / 3600;
const KWH_PER_W_MS = 1 / 3.6e9;

/**
 * Heat that the loop brought to the tub and carried out of it in a span, as a heat meter counts:
 * dQ = (h(outlet) − h(inlet)) · ρ(at the flow sensor) · dV, the form of EN 1434-1 with water by
 * IAPWS-IF97. Temperatures run linearly within their pieces and the flow is constant in its own, so
 * each stretch between two knots is integrated by Simpson's rule, cut where the difference changes
 * sign. What an input does not cover is not counted, nor is flow while the pump is known to rest, unless
 * the owner has confirmed it.
 *
 * With the pair at the collectors the loss of both pipes while water runs is taken off, estimated.
 *
 * Thermometers follow late. Over a run what they miss is their time constant times how far the
 * difference came since before the start, whatever way it took: nothing much in an hour, and half of
 * the heat in a run of a minute. It is not made good, since nobody knows the time constant, but is
 * part of the pair's uncertainty.
 */
export function metered(inputs: MeteredInputs, from: number, to: number): MeteredHeat {
  const { settings } = inputs;
  const { inlet, outlet, air, flow, pump } = inputs;
  const walks = {
    inlet: new Walk(inlet, from),
    outlet: new Walk(outlet, from),
    air: new Walk(air, from),
    volume: new Walk(flow.volume, from),
    rate: new Walk(flow.rate, from),
    pump: new Walk(pump, from),
  };
  const fluid = fluidOf(settings);
  const sum = { gain: 0, lost: 0, pair: 0, came: 0, loss: 0, coveredMs: 0, litres: 0, flowMs: 0 };
  let differenceK: number | null = null; // outlet − inlet where the stretch before ended
  const pairClasses = [
    sensorClass(settings, 'collector/outlet'),
    sensorClass(settings, 'collector/inlet'),
  ] as const;
  const zeroed = zeroedTogether(settings);
  const openTooHotC = boilingC(settings.place.elevationM) - BELOW_BOILING_K;
  const pipeWPerK =
    settings.loop.pairAt === 'collectors' ? PIPE.wPerMK * settings.loop.pipeMetres : 0;
  const flowAtOutlet = settings.loop.flowSensorAt === 'outlet';

  for (let at = from; at < to; ) {
    const i = walks.inlet.at(at);
    const o = walks.outlet.at(at);
    const counted = walks.volume.at(at);
    const flowing = walks.rate.at(at);
    const state = walks.pump.at(at);
    const breath = walks.air.at(at);
    const end = Math.min(
      to,
      walks.inlet.next(at),
      walks.outlet.next(at),
      walks.volume.next(at),
      walks.rate.next(at),
      walks.pump.next(at),
      pipeWPerK > 0 ? walks.air.next(at) : to,
    );
    differenceK = stretch(at, end, differenceK);
    at = end;

    function stretch(a: number, b: number, beforeK: number | null): number | null {
      if (counted < 0 && flowing < 0) return null;
      const resting = state >= 0 && pump.v0[state] === 0 && !settings.owner.flowConfirmed;
      const heard = counted >= 0 ? flow.volume.v0[counted]! : flow.rate.v0[flowing]!;
      const lPerMin = resting ? 0 : Math.max(0, heard);
      const litres = (lPerMin * (b - a)) / 60_000;
      sum.litres += litres;
      sum.flowMs += b - a;
      if (i < 0 || o < 0) return null;
      const in0 = walks.inlet.value(i, a);
      const in1 = walks.inlet.value(i, b);
      const out0 = walks.outlet.value(o, a);
      const out1 = walks.outlet.value(o, b);
      const [d0, d1] = [out0 - in0, out1 - in1];
      if (litres === 0) {
        sum.coveredMs += b - a;
        return d1;
      }
      const hottestC = Math.max(in0, in1, out0, out1);
      const coldestC = Math.min(in0, in1, out0, out1);
      const tooHotC = Math.min(in0, in1) > HOTTEST_TUB_C ? closedTooHotC : openTooHotC;
      if (hottestC >= tooHotC || !isLiquid(coldestC)) return null;
      sum.coveredMs += b - a;
      const inMean = (in0 + in1) / 2;
      const outMean = (out0 + out1) / 2;
      const k = (enthalpyAt(inMean + 0.5) - enthalpyAt(inMean - 0.5)) * densityAt(inMean);
      const deltaUncertaintyK = pairUncertaintyK(pairClasses, outMean, inMean, zeroed);
      sum.pair += k * litres * deltaUncertaintyK * fluid.factor * KWH_PER_KJ;
      sum.came += ((k * lPerMin) / 60) * (d1 - (beforeK ?? d0)) * fluid.factor * KWH_PER_KJ;
      if (pipeWPerK > 0) {
        const airC = breath >= 0 ? walks.air.value(breath, a) : PIPE.airC;
        const pipeKwh = pipeWPerK * ((inMean + outMean) / 2 - airC) * (b - a) * KWH_PER_W_MS;
        take(heat(litres, in0, in1, out0, out1) - pipeKwh);
        sum.loss += Math.abs(pipeKwh) * PIPE.relativeUncertainty;
      } else if (d0 * d1 < 0) {
        const share = d0 / (d0 - d1);
        const inMiddle = in0 + (in1 - in0) * share;
        take(heat(litres * share, in0, inMiddle, out0, inMiddle));
        take(heat(litres * (1 - share), inMiddle, in1, inMiddle, out1));
      } else {
        take(heat(litres, in0, in1, out0, out1));
      }
      return d1;
    }
  }

  /** Heat of a stretch over which both temperatures run linearly [kWh]. */
  function heat(litres: number, in0: number, in1: number, out0: number, out1: number): number {
    const middle = kjPerLitre((in0 + in1) / 2, (out0 + out1) / 2);
    const mean = (kjPerLitre(in0, out0) + 4 * middle + kjPerLitre(in1, out1)) / 6;
    return mean * litres * fluid.factor * KWH_PER_KJ;
  }
  function kjPerLitre(inC: number, outC: number): number {
    return (enthalpyAt(outC) - enthalpyAt(inC)) * densityAt(flowAtOutlet ? outC : inC);
  }
  function take(kwh: number): void {
    if (kwh > 0) sum.gain += kwh;
    else sum.lost -= kwh;
  }

  const known = sum.coveredMs > 0;
  const net = sum.gain - sum.lost;
  const flowClass = settings.sensors['pump/volume']?.class ?? sensorClass(settings, 'pump/flow');
  return {
    gainKwh: known ? sum.gain : null,
    lostKwh: known ? sum.lost : null,
    measuredKwh: known ? (fluid.measured ? sum.gain : 0) : null,
    basis: known ? (fluid.measured ? 'measured' : 'estimated') : null,
    coveredMs: sum.coveredMs,
    flowUncertaintyKwh: net * flowRelativeUncertainty(flowClass),
    pairUncertaintyKwh: Math.hypot(sum.pair, SETTLING_S * sum.came),
    lossUncertaintyKwh: sum.loss + Math.abs(net) * fluid.relativeUncertainty,
    litres: sum.flowMs > 0 ? sum.litres : null,
  };
}

function fluidOf({ loop }: TubSettings) {
  const antifreeze = loop.fluid === 'antifreeze' && loop.meterSide === 'collector';
  return antifreeze
    ? {
        factor: ANTIFREEZE.factor,
        relativeUncertainty: ANTIFREEZE.uncertainty / ANTIFREEZE.factor,
        measured: false,
      }
    : { factor: 1, relativeUncertainty: 0, measured: true };
}

/** Whether the pair's two sensors were zeroed against each other on the same day. */
function zeroedTogether({ sensors }: TubSettings): boolean {
  const day = sensors['collector/inlet']?.zeroedOn;
  return day !== undefined && day === sensors['collector/outlet']?.zeroedOn;
}
