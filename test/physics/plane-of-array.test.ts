import fc from 'fast-check';
import { expect, test } from 'vitest';
import { clearSky, extraterrestrial } from '../../model/clear-sky.ts';
import { groundReflected, isotropicDiffuse, planeIrradiance } from '../../model/plane-of-array.ts';
import { incidenceDeg } from '../../model/sun.ts';
import { evenly } from './evenly.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

const incidence = (zenithDeg: number, azimuthDeg: number, tilt: number, facing: number) =>
  incidenceDeg({ apparentElevationDeg: 90 - zenithDeg, azimuthDeg }, tilt, facing);

interface Inputs {
  tilt_deg: number;
  plane_azimuth_deg: number;
  apparent_zenith_deg: number;
  sun_azimuth_deg: number;
  ghi_W_per_m2: number;
  dni_W_per_m2: number;
  dhi_W_per_m2: number;
  dni_extra_W_per_m2: number;
  albedo?: number;
}

const SAND = 0.4;

function onPlane(inputs: Inputs) {
  const { tilt_deg: tilt, apparent_zenith_deg: zenith, dni_extra_W_per_m2: outside } = inputs;
  const sky = {
    ghi: inputs.ghi_W_per_m2,
    dni: inputs.dni_W_per_m2,
    dhi: inputs.dhi_W_per_m2,
  };
  const aoi = incidence(zenith, inputs.sun_azimuth_deg, tilt, inputs.plane_azimuth_deg);
  return {
    ...planeIrradiance(sky, outside, zenith, aoi, tilt, inputs.albedo ?? SAND),
    aoi,
    evenSky: isotropicDiffuse(sky.dhi, tilt),
  };
}

test('the angle of incidence is the one that a laboratory logged on two whole days', () => {
  for (const group of ['typ1 day', 'typ3 day']) {
    const known = cases<{ zenith_deg: number; azimuth_deg: number }, { incidence_deg: number }>(
      'incidence-angles',
      group,
    );
    hold(
      'angle of incidence in the laboratory',
      50,
      known.map(({ inputs, expected }) => [
        incidence(inputs.zenith_deg, inputs.azimuth_deg, 45, 180),
        expected.incidence_deg,
      ]),
    );
  }
});

test('an evenly bright sky and the ground give a tilted plane their shares', () => {
  const sky = cases<
    { tilt_deg: number; dhi_W_per_m2: number },
    { poa_sky_diffuse_W_per_m2: number }
  >('plane-of-array', 'isotropic sky');
  hold(
    'isotropic sky',
    1,
    sky.map((c) => [
      isotropicDiffuse(c.inputs.dhi_W_per_m2, c.inputs.tilt_deg),
      c.expected.poa_sky_diffuse_W_per_m2,
    ]),
  );
  const ground = cases<
    { tilt_deg: number; ghi_W_per_m2: number; albedo: number },
    { poa_ground_diffuse_W_per_m2: number }
  >('plane-of-array', 'ground');
  hold(
    'ground-reflected light',
    1,
    ground.map(({ inputs, expected }) => [
      groundReflected(inputs.ghi_W_per_m2, inputs.tilt_deg, inputs.albedo),
      expected.poa_ground_diffuse_W_per_m2,
    ]),
  );
});

test('light on a tilted plane is as published, part by part', () => {
  const known = cases<Inputs, Record<string, number>>('plane-of-array', 'published transposition');
  hold(
    'published transposition',
    32,
    known.flatMap(({ inputs, expected }) => {
      const ours = onPlane(inputs);
      return [
        [ours.aoi, expected.aoi_deg!],
        [ours.beam, expected.beam_on_plane_W_per_m2!],
        [ours.isotropic, expected.hay_davies_isotropic_part_W_per_m2!],
        [ours.circumsolar, expected.hay_davies_circumsolar_part_W_per_m2!],
        [ours.isotropic + ours.circumsolar, expected.hay_davies_W_per_m2!],
        [ours.ground, expected['ground_reflected_albedo_sand_0.40_W_per_m2']!],
        [ours.evenSky, expected.isotropic_W_per_m2!],
        [ours.beam + ours.evenSky + ours.ground, expected.total_with_isotropic_W_per_m2!],
      ] as const;
    }),
  );
});

test('three other models of the sky send a plane about as much light as ours', () => {
  const known = cases<Inputs, Record<string, number>>('plane-of-array', 'published transposition');
  hold(
    'sky light by other models',
    12,
    known.flatMap(({ inputs, expected }) => {
      const { isotropic, circumsolar } = onPlane(inputs);
      return ['reindl', 'klucher', 'perez'].map(
        (model) => [isotropic + circumsolar, expected[`${model}_W_per_m2`]!] as const,
      );
    }),
  );
});

test('light on a tilted plane is as worked out by another library, in both hemispheres', () => {
  const known = cases<Inputs, Record<string, number>>('plane-of-array', 'worked transposition');
  hold(
    'worked transposition',
    28,
    known.flatMap(({ inputs, expected }) => {
      const ours = onPlane(inputs);
      return [
        [ours.aoi, expected.aoi_deg!],
        [ours.beam, expected.beam_on_plane_W_per_m2!],
        [ours.isotropic + ours.circumsolar, expected.hay_davies_W_per_m2!],
        [ours.ground, expected.ground_reflected_W_per_m2!],
        [ours.evenSky, expected.isotropic_W_per_m2!],
        [ours.beam + ours.evenSky + ours.ground, expected.total_isotropic_W_per_m2!],
        [ours.total, expected.total_hay_davies_W_per_m2!],
      ] as const;
    }),
  );
});

const angle = (max: number) => evenly(0, max);

/** All light on a plane under a clear sky. */
const clearLight = (zenith: number, sun: number, tilt: number, facing: number) =>
  planeIrradiance(
    clearSky(zenith, 100),
    extraterrestrial(100),
    zenith,
    incidence(zenith, sun, tilt, facing),
    tilt,
  );

test('north of the equator mirrors south of it, and east mirrors west', () => {
  fc.assert(
    fc.property(angle(89), angle(360), angle(90), angle(360), (zenith, sun, tilt, facing) => {
      const { total } = clearLight(zenith, sun, tilt, facing);
      expect(clearLight(zenith, 180 - sun, tilt, 180 - facing).total).toBeCloseTo(total, 6);
      expect(clearLight(zenith, 360 - sun, tilt, 360 - facing).total).toBeCloseTo(total, 6);
    }),
  );
});

test('a flat plane gets the global light, and no plane gets less than nothing', () => {
  fc.assert(
    fc.property(angle(88), angle(360), angle(90), angle(360), (zenith, sun, tilt, facing) => {
      expect(clearLight(zenith, sun, 0, facing).total).toBeCloseTo(clearSky(zenith, 100).ghi, 6);
      const { total, ...parts } = clearLight(zenith, sun, tilt, facing);
      expect(Math.min(...Object.values(parts))).toBeGreaterThanOrEqual(0);
      expect(total).toBeLessThan(1500);
    }),
  );
});

test('a night sky gives a plane nothing', () => {
  expect(clearLight(110, 0, 45, 180)).toEqual({
    beam: 0,
    circumsolar: 0,
    isotropic: 0,
    ground: 0,
    total: 0,
  });
});
