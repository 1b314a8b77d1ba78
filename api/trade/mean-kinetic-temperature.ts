// One temperature that ages a thing as much as a changing one did, and what rates depend on heat.

/** 0 °C in kelvin. */
export const KELVIN_AT_0_C = 273.15

/**
 * Activation energy over the gas constant, in kelvin: 83.144 kJ/mol and 8.3144e-3 kJ/(mol·K), so
 * 10,000 K exactly (USP <1160>, USP 29). For budwood this is a plausible figure, not a measured
 * one: it is a Q10 of 3.3 from 10 to 20 °C, inside the 2.8 to 3.8 measured on grape buds.
 */
export const MEAN_KINETIC_KELVIN = 10_000

/** A temperature that held for some hours. */
export interface TemperatureHours {
  readonly tempC: number
  readonly hours: number
}

/** What is averaged: exp(-ΔH / R T), without unit, at `tempC` degrees Celsius. */
export function kineticWeight(tempC: number): number {
  return Math.exp(-MEAN_KINETIC_KELVIN / (tempC + KELVIN_AT_0_C))
}

/** The temperature, in °C, whose {@link kineticWeight} is this mean; null when the mean is 0. */
export function temperatureOfKineticWeight(meanWeight: number): number | null {
  if (!(meanWeight > 0)) return null
  return MEAN_KINETIC_KELVIN / -Math.log(meanWeight) - KELVIN_AT_0_C
}

/**
 * Mean kinetic temperature in °C, weighted by time (USP <1160>); null when no time is given. Never
 * below the mean temperature. It can hide an excursion: show the largest one beside it.
 */
export function meanKineticTemperatureC(spans: readonly TemperatureHours[]): number | null {
  let hours = 0
  let weighted = 0
  for (const span of spans) {
    hours += span.hours
    weighted += span.hours * kineticWeight(span.tempC)
  }
  return hours > 0 ? temperatureOfKineticWeight(weighted / hours) : null
}

const GAS_CONSTANT_KJ = 8.314462618e-3

/**
 * Activation energy in kJ/mol that makes a rate `q10` times as high from `lowC` to `lowC` + 10 °C:
 * Ea = R ln Q10 / (1/T1 - 1/T2) (Arrhenius).
 */
export function activationEnergyKJ(q10: number, lowC = 10): number {
  return (GAS_CONSTANT_KJ * Math.log(q10)) / inverseKelvinStep(lowC)
}

/** How many times as high a rate is at `lowC` + 10 °C, from its activation energy over R, in K. */
export function q10OfActivation(activationKelvin: number, lowC = 10): number {
  return Math.exp(activationKelvin * inverseKelvinStep(lowC))
}

function inverseKelvinStep(lowC: number): number {
  return 1 / (lowC + KELVIN_AT_0_C) - 1 / (lowC + 10 + KELVIN_AT_0_C)
}
