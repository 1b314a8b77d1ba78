// Spanish: the words that every screen shares, and the shell's own.
import type { Translated } from './message.ts'
import type { SHELL_EN } from './shell.en.ts'

export const SHELL_ES: Translated<typeof SHELL_EN> = {
  'span.moment': '< 1 min',
  'span.minutes': '{count} min',
  'span.hours': '{count} h',
  'span.hoursMinutes': '{hours} h {minutes} min',
  'span.days': { one: '{count} día', other: '{count} días' },

  'count.sticks': { one: '{count} vara', other: '{count} varas' },
  'count.buds': { one: '{count} yema', other: '{count} yemas' },
  'count.bundles': { one: '{count} haz', other: '{count} haces' },
  'count.vines': { one: '{count} cepa', other: '{count} cepas' },
  'count.entries': { one: '{count} registro', other: '{count} registros' },
  'count.tags': { one: '{count} etiqueta', other: '{count} etiquetas' },

  'part.back': 'Atrás',
  'part.next': 'Siguiente',
  'part.save': 'Guardar',
  'part.saving': 'Guardando …',
  'part.saved': 'Guardado en este teléfono',
  'part.cancel': 'Cancelar',
  'part.yes': 'Sí',
  'part.no': 'No',
  'part.more': 'Más',
  'part.less': 'Menos',
  'part.clear': 'Borrar todo',
  'part.erase': 'Borrar la última cifra',
  'part.other': 'Otro',
  'part.step': 'Paso {step} de {of}',
  'part.add': 'Uno más: {what}',
  'part.take': 'Uno menos: {what}',
  'part.tooMany': 'Como máximo {max}.',
  'part.tooFew': 'Como mínimo {min}.',
  'part.chosen': 'elegido',
  'part.why': 'Por qué',
  'part.whatToDo': 'Qué hacer',
  'part.noReason': 'Nada impide usarlo.',
  'part.moreReasons': { one: '{count} motivo más', other: '{count} motivos más' },
  'part.notJudged': 'Sin valorar: este teléfono no conoce el lote.',

  'kind.lot': 'Lote',
  'kind.bundle': 'Haz',
  'kind.place': 'Lugar',
  'kind.row': 'Fila',
  'kind.source': 'Origen',
  'kind.knife': 'Navaja',
  'kind.bath': 'Baño',

  'write.storageFull.what': 'No se guardó: la memoria del teléfono está llena.',
  'write.storageFull.todo':
    'No se perdió nada de lo guardado antes. Libere espacio (fotos, videos) y vuelva a pulsar.',
  'write.storageBroken.what': 'No se guardó: la memoria del teléfono no responde.',
  'write.storageBroken.todo':
    'Cierre la aplicación, ábrala de nuevo y vuelva a pulsar. Si sigue igual, anótelo en papel y ' +
    'avise a la oficina.',
  'write.notEnrolled.what': 'No se guardó: este teléfono no está dado de alta.',
  'write.notEnrolled.todo': 'Pida a la oficina un código de alta.',
  'write.badEntry.what': 'No se guardó: algo de lo escrito no se puede conservar.',
  'write.badEntry.todo':
    'Un texto puede ser demasiado largo o tener un carácter que no se imprime. Corríjalo y ' +
    'vuelva a pulsar.',
  'write.noPerson.what': 'No se guardó: no se eligió a nadie.',
  'write.noPerson.todo': 'Elija quién trabaja con este teléfono y vuelva a pulsar.',
}
