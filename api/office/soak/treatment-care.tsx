// The cautions that stand wherever hot water and dips are recorded, shown or printed.
import { CURVE_GAP_MINUTES, HOT_WATER_TOLERANCE_C } from '#trade/hot-water.ts'

/** Burns, chemicals, and whose rules come first. */
export function TreatmentCare() {
  return (
    <>
      <p class="care">
        Water of 45 to 55 °C scalds within moments: cover the tank, wear waterproof gloves and an
        apron, lift wood out with a cage or hook, and never reach in. Dips can hurt people and buds:
        use only what is allowed for this use where you are, follow the product’s label, wear what
        it asks for, never mix products, and do with used water what your local rules say.
      </p>
      <p class="care">
        Plant-health law and the licensed officer decide what a treatment must be and whether wood
        may move. What is shown here is evidence of what was done, not a certificate; heat can also
        kill buds, so try a few sticks of each variety first.
      </p>
    </>
  )
}

/** How the time was reckoned. */
export function HowReckoned() {
  return (
    <p class="hint">
      Minutes are the longest unbroken time at or above the temperature; a reading up to{' '}
      {HOT_WATER_TOLERANCE_C} °C below it counts, and readings more than {CURVE_GAP_MINUTES} minutes
      apart break the time. A setting without a curve was not measured.
    </p>
  )
}
