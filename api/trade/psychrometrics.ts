// How much water air can hold, and how strongly it dries what lies in it.

/**
 * Saturation vapour pressure over liquid water, in kPa, at `tempC` degrees Celsius.
 * FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), equation 11. Below 0 °C the same
 * equation is used: wood in a room that cold still holds liquid water, and over ice the figure
 * would be lower (about a tenth at -10 °C), which would understate how it dries.
 *
 * @throws RangeError below -60 °C or above 100 °C, where the equation does not hold
 */
export function saturationVapourPressureKPa(tempC: number): number {
  if (!(tempC >= -60 && tempC <= 100)) {
    throw new RangeError(`saturation vapour pressure: ${tempC} °C lies outside -60 to 100 °C`)
  }
  return 0.6108 * Math.exp((17.27 * tempC) / (tempC + 237.3))
}

/**
 * Mean saturation vapour pressure of a day, in kPa, from its highest and lowest temperature: the
 * mean of the two pressures, not the pressure at the mean (FAO-56 equation 12).
 */
export function meanSaturationVapourPressureKPa(highestC: number, lowestC: number): number {
  return (saturationVapourPressureKPa(highestC) + saturationVapourPressureKPa(lowestC)) / 2
}

/**
 * Vapour pressure deficit, in kPa: what is missing to saturation at `tempC` °C and
 * `humidityPercent` % relative humidity (FAO-56: es - ea, with ea = es · RH / 100).
 *
 * @throws RangeError for a humidity outside 0 to 100 %
 */
export function vapourPressureDeficitKPa(tempC: number, humidityPercent: number): number {
  if (!(humidityPercent >= 0 && humidityPercent <= 100)) {
    throw new RangeError(`vapour pressure deficit: ${humidityPercent} % lies outside 0 to 100 %`)
  }
  return saturationVapourPressureKPa(tempC) * (1 - humidityPercent / 100)
}
