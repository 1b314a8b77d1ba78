// Spanish: tonight's list, which wood to pull and soak for the morning.
import type { Translated } from '../../words/message.ts'
import type { TONIGHT_EN } from './tonight.en.ts'

export const TONIGHT_ES: Translated<typeof TONIGHT_EN> = {
  'tonight.title': 'Lista de esta noche',
  'tonight.rows': '¿Qué filas se injertan por la mañana?',
  'tonight.noRows':
    'Este teléfono no conoce ninguna fila con plan. Vaya a donde haya red y actualice.',
  'tonight.chosen': { one: '{count} fila elegida', other: '{count} filas elegidas' },
  'tonight.fetch': 'Calcular la lista',
  'tonight.again': 'Elegir otras filas',
  'tonight.asking': 'Preguntando al servidor…',
  'tonight.noNetwork': 'Aquí no hay red. La lista la calcula el servidor.',
  'tonight.trouble': 'El servidor no respondió como debía. Inténtelo dentro de un rato.',
  'tonight.notLetIn': 'La oficina no deja entrar a este teléfono. Pregunte allí.',
  'tonight.age': 'calculada hace {age}',
  'tonight.into': 'Al agua hasta: {time}',
  'tonight.out': 'Fuera del agua: {time}',
  'tonight.ready': 'Para injertar: {time}',
  'tonight.over': 'Esta lista era para una mañana que ya pasó. Pida que se calcule otra.',
  'tonight.left': {
    one: 'Falta sacar {count} línea',
    other: 'Falta sacar {count} líneas',
  },
  'tonight.allIn': 'Todo lo de la lista está en el agua',
  'tonight.nothing': 'No se encontró madera apta, o allí no queda nada por injertar.',
  'tonight.short': '{variety}: faltan {count} yemas',
  'tonight.anyVariety': 'cualquier variedad',
  'tonight.tooLate': 'Es tarde para un remojo suficiente. Lista como pronto: {time}.',
  'tonight.moved': 'Se cambió la hora para que el remojo no sea ni corto ni largo.',
  'tonight.noTank': 'No hay tanque libre: pregunte a la oficina dónde remojar.',
  'tonight.tanksFull': {
    one: 'En los tanques no cabe {count} vara.',
    other: 'En los tanques no caben {count} varas.',
  },
  'tonight.loose': 'madera suelta, sin etiqueta',
  'tonight.to': '{from} → {tank}',
  'tonight.noRoom': '{from} → no cabe en ningún tanque',
  'tonight.part': 'solo {what}',
  'tonight.pull': 'por sacar',
  'tonight.done': 'en el agua',
  'tonight.leave': 'ya está en el agua, déjela',
  'tonight.careful': 'con cautela: mire antes las yemas',
  'tonight.scan': 'Leer un haz',
  'tonight.scanAsk': 'Lea un haz de la lista',
  'tonight.notOnList': 'Este haz no está en la lista.',
  'tonight.isIn': 'Este ya está en el agua.',
}
