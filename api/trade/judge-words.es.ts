// The Spanish sentence and advice for every reason; wording by common practice, no source.
import type { Route } from './health-agents.ts'
import type { NameOf, ReasonSentences } from './judge-words.en.ts'
import type { FactsByCode, Reason, TodoCode, Verdict } from './reasons.ts'

/** The sentence and the advice for one reason. Without names, ids are printed. */
export function reasonInSpanish(
  reason: Reason,
  nameOf: NameOf = (_kind, id) => id,
): { readonly sentence: string; readonly todo: string } {
  // The facts belong to the code by construction; the index type cannot say so.
  const say = REASON_SENTENCES_ES[reason.code] as (facts: Reason['facts'], nameOf: NameOf) => string
  return { sentence: say(reason.facts, nameOf), todo: TODO_SENTENCES_ES[reason.todo] }
}

export const VERDICT_WORDS_ES: Readonly<Record<Verdict, string>> = {
  ready: 'Listo',
  caution: 'Cuidado',
  stop: 'Alto',
}

/** A length of time given in whole minutes, such as «26 h 30 min» or «3 días 4 h». */
export function lengthInSpanish(minutes: number): string {
  const days = Math.floor(minutes / 1440)
  const hours = Math.floor(minutes / 60) - days * 24
  if (days >= 3) return hours === 0 ? `${days} días` : `${days} días ${hours} h`
  const rest = minutes % 60
  const allHours = Math.floor(minutes / 60)
  if (allHours === 0) return `${rest} min`
  return rest === 0 ? `${allHours} h` : `${allHours} h ${rest} min`
}

export const REASON_SENTENCES_ES: ReasonSentences = {
  'lot.unknown': ({ code }) =>
    code === null
      ? 'No se conoce ningún lote para esta lectura.'
      : `No se conoce ningún lote para la etiqueta ${code} en los datos disponibles.`,
  'tag.spoiled': ({ code }) => `La etiqueta ${code} se dio por inservible y no debe estar en uso.`,
  'tag.ended': ({ code }) =>
    `La etiqueta ${code} ya no corresponde a ninguna madera: su uso terminó.`,
  'hold.lot': (facts, nameOf) => `El lote está retenido${forAgent(facts.agentId, nameOf)}.`,
  'hold.parent_lot': (facts, nameOf) =>
    `El lote ${nameOf('lot', facts.subjectId)}, del que se hizo esta madera, está retenido` +
    `${forAgent(facts.agentId, nameOf)}.`,
  'hold.source': (facts, nameOf) =>
    `Su origen ${nameOf('source', facts.subjectId)} está retenido` +
    `${forAgent(facts.agentId, nameOf)}.`,
  'hold.contact': (facts, nameOf) =>
    `Tuvo contacto con ${nameOf('held thing', facts.subjectId)}` +
    `${facts.route === null ? '' : ` (vía: ${routeWords(facts.route)})`}, que está retenido` +
    `${forAgent(facts.agentId, nameOf)}.`,
  'plan.variety': (facts, nameOf) =>
    `En la fila ${nameOf('row', facts.rowId)} está prevista la variedad ` +
    `${nameOf('variety', facts.plannedVarietyId)}; esto es ` +
    `${nameOf('variety', facts.lotVarietyId)}.`,
  'plan.clone': (facts, nameOf) =>
    `En la fila ${nameOf('row', facts.rowId)} está previsto el clon ${facts.plannedClone}; este ` +
    `es el clon ${facts.lotClone}.`,
  'plan.clone_unknown': (facts, nameOf) =>
    `En la fila ${nameOf('row', facts.rowId)} está previsto el clon ${facts.plannedClone}; el ` +
    'clon del lote no consta.',
  'plan.class_below': (facts, nameOf) =>
    `La fila ${nameOf('row', facts.rowId)} pide la categoría ${facts.plannedClass} o una más ` +
    `estricta; este lote es ${facts.lotClass ?? 'sin categoría'}.`,
  'plan.class_unknown': (facts, nameOf) =>
    `La fila ${nameOf('row', facts.rowId)} pide la categoría ${facts.plannedClass} o una más ` +
    'estricta; la categoría del lote no consta.',
  'plan.class_not_comparable': (facts, nameOf) =>
    `La fila ${nameOf('row', facts.rowId)} pide ${classWords(facts.plannedScheme)} ` +
    `${facts.plannedClass}; este lote es ${classWords(facts.lotScheme)} ` +
    `${facts.lotClass ?? 'ninguna'}, y ninguna escala de categorías compara las dos.`,
  'source.suspended_at_cut': (facts, nameOf) =>
    `Su origen ${nameOf('source', facts.sourceId)} estaba suspendido cuando se cortó la madera.`,
  'source.withdrawn_at_cut': (facts, nameOf) =>
    `Su origen ${nameOf('source', facts.sourceId)} estaba dado de baja cuando se cortó la madera.`,
  'source.standing_unknown': (facts, nameOf) =>
    `No consta la situación de su origen ${nameOf('source', facts.sourceId)} en la fecha de corte.`,
  'source.suspended_later': (facts, nameOf) =>
    `Su origen ${nameOf('source', facts.sourceId)} se suspendió después de cortar la madera.`,
  'source.withdrawn_later': (facts, nameOf) =>
    `Su origen ${nameOf('source', facts.sourceId)} se dio de baja después de cortar la madera.`,
  'source.unknown': ({ knownSources }) =>
    knownSources === 0
      ? 'No consta dónde se cortó esta madera.'
      : 'No consta dónde se cortó una parte de esta madera.',
  'stock.nothing_left': ({ sticks, buds }) =>
    `Según los registros no queda nada de este lote (varas: ${sticks}, yemas: ${buds}).`,
  'stock.negative': ({ sticks, buds }) =>
    'Los registros no cuadran: se usó más de lo que había ' +
    `(quedan varas: ${sticks}, yemas: ${buds}).`,
  'stock.unknown': () => 'Aquí no se sabe cuánto queda de este lote.',
  'storage.too_long': ({ storedDays, limitDays }) =>
    `Se cortó hace ${daysWords(storedDays)}; el límite es de ${daysWords(limitDays)}.`,
  'storage.vines_too_long': ({ storedDays, limitDays }) =>
    `Se arrancó hace ${daysWords(storedDays)}; el límite es de ${daysWords(limitDays)}.`,
  'storage.long': ({ storedDays, limitDays, stopDays }) =>
    `Se cortó hace ${daysWords(storedDays)}: más de ${daysWords(limitDays)}; el límite es de ` +
    `${daysWords(stopDays)}.`,
  'storage.age_unknown': ({ atLeastDays }) =>
    atLeastDays === null
      ? 'No consta cuándo se cortó esta madera.'
      : `No consta cuándo se cortó esta madera; tiene al menos ${daysWords(atLeastDays)}.`,
  'storage.unrecorded': ({ unrecordedMinutes, limitHours }) =>
    `Durante ${lengthInSpanish(unrecordedMinutes)} desde el corte ningún registro dice dónde ` +
    `estuvo la madera (más de ${limitHours} h).`,
  'storage.frozen': ({ lowestTempC, limitC }) =>
    `Se heló: donde estaba se leyeron ${lowestTempC} °C (menos de ${limitC} °C).`,
  'storage.frost': ({ lowestTempC, limitC }) =>
    `Hubo helada donde estaba: se leyeron ${lowestTempC} °C (menos de ${limitC} °C).`,
  'storage.aged': ({ ageDays, storedDays, setTempC, limitDays }) =>
    `Guardada con demasiado calor: en ${daysWords(storedDays)} envejeció como en ` +
    `${daysWords(ageDays)} a ${setTempC} °C; el límite es ${limitDays}.`,
  'storage.ageing': ({ ageDays, storedDays, setTempC, limitDays, stopDays }) =>
    `En ${daysWords(storedDays)} envejeció como en ${daysWords(ageDays)} a ${setTempC} °C: ` +
    `pasa de ${limitDays}; el límite es ${stopDays}.`,
  'storage.swelling': ({ degreeDays, limitDegreeDays, baseC }) =>
    `Puede que sus yemas se estén hinchando: ${degreeDays} grados día sobre ${baseC} °C desde ` +
    `el corte (más de ${limitDegreeDays}).`,
  'storage.warm': (facts) =>
    `Estuvo a más de ${facts.limitC} °C durante ${lengthInSpanish(facts.warmMinutes)} en total ` +
    `(más de ${facts.limitHours} h)${warmestInSpanish(facts)}.`,
  'storage.readings_stopped': ({ silentMinutes, limitHours }) =>
    `La última lectura de donde está tiene ${lengthInSpanish(silentMinutes)} (más de ` +
    `${limitHours} h).`,
  'storage.no_readings': ({ unmeasuredMinutes }) =>
    unmeasuredMinutes === null
      ? 'Ninguna lectura dice a qué temperatura se guardó: su edad se cuenta por calendario.'
      : `Durante ${lengthInSpanish(unmeasuredMinutes)} ninguna lectura dice a qué temperatura ` +
        'se guardó: ese tiempo se cuenta por calendario.',
  'check.too_low': (facts) => `${seenWords(facts)}: menos del ${facts.leastPercent} %.`,
  'check.low': (facts) =>
    `${seenWords(facts)}: menos del ${facts.leastPercent} %, en una muestra demasiado pequeña ` +
    'para estar seguro.',
  'check.small': (facts) =>
    `${seenWords(facts)}; la muestra es demasiado pequeña para asegurar el ` +
    `${facts.leastPercent} %.`,
  'check.good': (facts) => `${seenWords(facts)}: al menos el ${facts.leastPercent} %.`,
  'check.old': ({ checkedDays, limitDays }) =>
    `Sus yemas se miraron por última vez hace ${daysWords(checkedDays)} (más de ${limitDays}).`,
  'check.never': ({ storedDays, limitDays }) =>
    `Sus yemas no se han mirado en ${daysWords(storedDays)} desde el corte (más de ${limitDays}).`,
  'check.too_dry': ({ percent, leastPercent }) =>
    `Demasiado seca: ${percent} % de agua sobre el peso fresco; se pide al menos el ` +
    `${leastPercent} %.`,
  'check.water_lost': ({ lostPercent, of, mostPercent }) =>
    of === 'water'
      ? `Demasiado seca: ha perdido el ${lostPercent} % de su agua desde el corte (más del ` +
        `${mostPercent} %).`
      : `Demasiado seca: ha perdido el ${lostPercent} % de su peso desde el corte, y de su agua ` +
        `aún más (más del ${mostPercent} %).`,
  'soak.not_soaked': ({ minHours, maxHours }) =>
    `Sin remojar; se piden de ${minHours} a ${maxHours} h.`,
  'soak.soaking': ({ soakedMinutes, minHours, maxHours }) =>
    `Lleva ${lengthInSpanish(soakedMinutes)} en agua; se piden de ${minHours} a ${maxHours} h.`,
  'soak.too_short': ({ soakedMinutes, minHours, maxHours }) =>
    `Remojo de solo ${lengthInSpanish(soakedMinutes)}; se piden de ${minHours} a ${maxHours} h.`,
  'soak.too_long': ({ soakedMinutes, maxHours, inWater }) =>
    `${soakWords(inWater, soakedMinutes)}; se piden como máximo ${maxHours} h.`,
  'soak.right': ({ soakedMinutes, inWater }) =>
    `${soakWords(inWater, soakedMinutes)}, como se pide.`,
  'soak.out_too_long': ({ warmMinutes, limitHours, vpdKPa }) =>
    `Fuera del agua y fuera del frío durante ${lengthInSpanish(warmMinutes)}; el límite es de ` +
    `${limitHours} h${inAirWords(vpdKPa)}.`,
  'soak.out_long': ({ warmMinutes, limitHours, vpdKPa }) =>
    `Fuera del agua y fuera del frío durante ${lengthInSpanish(warmMinutes)} (más de ` +
    `${limitHours} h${inAirWords(vpdKPa)}).`,
  'soak.long_ago': ({ outMinutes, limitHours }) =>
    `Fuera del agua durante ${lengthInSpanish(outMinutes)}, aunque en frío (más de ` +
    `${limitHours} h).`,
  'soak.resoaked': ({ dryMinutes, limitHours }) =>
    `Remojada de nuevo tras ${lengthInSpanish(dryMinutes)} fuera del agua y fuera del frío (más ` +
    `de ${limitHours} h). La madera que se secó cuenta como defectuosa aunque se remoje de nuevo.`,
  'clock.disagrees': ({ what, at }) =>
    `Una hora no puede ser cierta según este reloj: ${clockWords(what)}, ` +
    `${new Date(at).toISOString()}.`,
  'snapshot.stale': ({ ageMinutes, limitHours }) =>
    `Los datos de este dispositivo tienen ${lengthInSpanish(ageMinutes)} (más de ` +
    `${limitHours} h). Puede faltar una retención.`,
}

export const TODO_SENTENCES_ES: Readonly<Record<TodoCode, string>> = {
  nothing: 'No hay que hacer nada más.',
  ask_what_it_is:
    'No lo use. Actualice los datos, lea de nuevo la etiqueta o pregunte a la oficina qué es.',
  tag_again: 'No lo use hasta que la oficina diga qué es y lleve una etiqueta nueva.',
  set_aside_ask_office: 'Apártelo, separado de otra madera, y pregunte a la oficina.',
  find_right_lot: 'No lo injerte en esta fila. Busque el lote que indica el plan.',
  show_clone_and_class: 'Pida a la oficina que anote lo que dice la etiqueta o el certificado.',
  show_standing: 'Pida a la oficina el registro del origen en la fecha de corte.',
  record_origin: 'Pida a la oficina que anote el origen, o use madera de origen conocido.',
  choose_another_lot: 'Cuente lo que tiene en la mano y avise a la oficina; use otro lote.',
  count_again: 'Cuente lo que tiene en la mano y avise a la oficina.',
  check_buds_first:
    'Antes de usarla, abra con un corte una muestra de yemas; corte siempre alejando la hoja de ' +
    'la mano.',
  do_not_use_check_buds:
    'No lo use a menos que la revisión de yemas salga bien y la oficina esté de acuerdo.',
  record_cut_date: 'Pida a la oficina que anote la fecha de corte de la etiqueta o del proveedor.',
  record_where_it_lay:
    'Anote dónde estuvo; si pudo pasar calor, abra con un corte una muestra de yemas.',
  use_first_or_cool:
    'Úsela antes que otra o llévela a un lugar más frío; abra con un corte una muestra de yemas.',
  read_the_logger: 'Mire el registrador de su cámara y descargue sus lecturas.',
  count_by_calendar:
    'Ponga un registrador donde se guarda la madera, o cargue el archivo del que ya está.',
  do_not_use_look_at_more: 'No la use hasta que se haya mirado más y la oficina esté de acuerdo.',
  check_more_buds: 'Mire más; la página del lote dice cuántas bastarían.',
  soak_first: 'Remójela antes de usarla en agua limpia, renovada para cada tanda.',
  leave_in_water: 'Déjela en el agua hasta que se cumpla el tiempo.',
  lift_and_check: 'Sáquela del agua, escúrrala y abra con un corte una muestra de yemas.',
  use_today: 'Úsela hoy, o escúrrala y devuélvala a la cámara fría.',
  do_not_use_look_for_dry_wood: 'No la use. Busque madera seca y deseche la que se haya secado.',
  look_for_dry_wood: 'Busque madera seca y deseche la que se haya secado.',
  set_the_clock:
    'Revise la fecha y la hora de este dispositivo; si están bien, avise a la oficina.',
  send_and_fetch: 'Vaya a donde haya red y actualice los datos antes de usarla.',
}

/** Routes as health-agents.ts names them. */
const ROUTE_WORDS: Readonly<Record<Route, string>> = {
  graft: 'injerto',
  blade: 'hoja de corte',
  water: 'agua',
  place: 'lugar',
}

/** What a time was of, as judge-clock.ts names it. */
const CLOCK_WORDS: Readonly<Record<string, string>> = {
  snapshot: 'datos recibidos',
  cut: 'corte',
  received: 'recepción',
  'stay began': 'entrada en un lugar',
  'stay ended': 'salida de un lugar',
  'soak began': 'inicio del remojo',
  'soak ended': 'fin del remojo',
  'buds looked at': 'revisión de yemas',
  'cambium looked at': 'revisión del cámbium',
  'moisture measured': 'medida de la humedad',
  'weather read': 'lectura del tiempo',
  'end before beginning': 'fin anterior al inicio',
}

function routeWords(route: string): string {
  return ROUTE_WORDS[route as Route] ?? route
}

function clockWords(what: string): string {
  return CLOCK_WORDS[what] ?? what
}

function seenWords(facts: FactsByCode['check.good']): string {
  const { live, sampled, what, checkedDays } = facts
  const of = what === 'buds' ? 'yemas' : 'sarmientos'
  const looked = checkedDays === 0 ? 'hoy' : `hace ${daysWords(checkedDays)}`
  return `${live} de ${sampled} ${of} con vida ${looked}`
}

function inAirWords(vpdKPa: number | null): string {
  return vpdKPa === null ? '' : ` con un aire tan seco como el de hoy (${vpdKPa} kPa)`
}

function daysWords(days: number): string {
  return days === 1 ? '1 día' : `${days} días`
}

function soakWords(inWater: 'yes' | 'no', minutes: number): string {
  const length = lengthInSpanish(minutes)
  return inWater === 'yes' ? `Lleva ${length} en agua` : `Remojo de ${length}`
}

function warmestInSpanish(facts: FactsByCode['storage.warm']): string {
  if (facts.beganAt === null || facts.endedAt === null) return ''
  const minutes = Math.round((facts.endedAt - facts.beganAt) / 60_000)
  const from = new Date(facts.beganAt).toISOString().slice(0, 16).replace('T', ' ')
  const peak = facts.peakTempC === null ? '' : `, hasta ${facts.peakTempC} °C`
  return `; la vez más larga, ${lengthInSpanish(minutes)} desde ${from} UTC${peak}`
}

function forAgent(agentId: string | null, nameOf: NameOf): string {
  return agentId === null ? '' : ` por ${nameOf('agent', agentId)}`
}

function classWords(scheme: string | null): string {
  return scheme === null ? 'la categoría' : `la categoría del sistema ${scheme}:`
}
