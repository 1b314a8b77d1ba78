// The part of the reference library for moist air that tests use; it comes without types.
declare module 'psychrolib' {
  const psychrolib: {
    SI: number
    SetUnitSystem: (system: number) => void
    /** Pa, from °C. */
    GetSatVapPres: (tempC: number) => number
    /** From °C, relative humidity from 0 to 1, and Pa. */
    GetHumRatioFromRelHum: (tempC: number, humidity: number, pressurePa: number) => number
    /** Pa. */
    GetVaporPressureDeficit: (tempC: number, humidityRatio: number, pressurePa: number) => number
  }
  export default psychrolib
}
