// Spanish: looking at grafted vines again, and releasing their ties.
import type { Translated } from '../../words/message.ts'
import type { TAKE_EN } from './take.en.ts'

export const TAKE_ES: Translated<typeof TAKE_EN> = {
  'take.title': 'Revisar el prendimiento',
  'take.growing': 'Brotando',
  'take.callused': 'Con callo, quieta',
  'take.failed': 'Fallida',
  'take.graft': '{lot} · {buds} · {day}',
  'take.bud': 'Yema {nr}',
  'take.budByBud': 'Las yemas difieren',
  'take.always': 'Siempre yema por yema',
  'take.whole': 'El injerto entero en un toque',
  'take.saveSeen': 'Guardar lo visto',
  'take.notSeen': 'Sin ver, seguir',
  'take.shoot': 'Brote',
  'take.shootHow': 'Cepa {vine}: brote más largo',
  'take.photo': 'Foto',
  'take.note': 'Nota',
  'take.noteHow': 'Cepa {vine}: nota',
  'take.photoLost': 'La foto no se pudo conservar. La revisión sí está guardada.',
  'take.saved': 'Cepa {vine}: {what}, guardado',
  'take.count': { one: '{count} cepa vista', other: '{count} cepas vistas' },
  'take.checked': 'Ya se revisó el {when}.',
  'take.done': 'Fila {row}: {vines} vistas',
  'take.work': 'Cepa {vine}: {what}',
  'take.counts': '{growing} brotando, {callused} con callo, {failed} fallidas',
  'tie.title': 'Soltar ataduras',
  'tie.release': 'Atadura suelta',
  'tie.leave': 'Dejarla atada, seguir',
  'tie.saved': 'Cepa {vine}: atadura suelta, guardado',
  'tie.count': { one: '{count} cepa suelta', other: '{count} cepas sueltas' },
  'tie.done': 'Fila {row}: {vines} sueltas',
  'tie.work': 'Cepa {vine}: atadura suelta',
  'tie.caution':
    'Raje la atadura por el lado opuesto a la yema; corte alejando la hoja de la mano.',
}
