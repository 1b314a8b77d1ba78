// Spanish: first start, enrolment, waiting for the office, a revoked phone, and who works.
import type { Translated } from './message.ts'
import type { START_EN } from './start.en.ts'

export const START_ES: Translated<typeof START_EN> = {
  'app.name': 'Canemark',
  'app.broken.what': 'La aplicación no pudo abrir su memoria en este teléfono.',
  'app.broken.todo':
    'Las ventanas privadas no guardan nada: ábrala en una ventana normal. Si sigue igual, ' +
    'muéstrelo a la oficina. No borre los datos del navegador: ahí están los registros sin enviar.',

  'start.language': 'Idioma',
  'start.layout': 'Unidades y mano',
  'start.temperature': 'Temperatura en',
  'start.celsius': '°C',
  'start.fahrenheit': '°F',
  'start.lengths': 'Longitudes en',
  'start.millimetres': 'mm',
  'start.inches': 'pulgadas',
  'start.hand': '¿Con qué mano sostiene el teléfono?',
  'start.left': 'Izquierda',
  'start.right': 'Derecha',
  'start.keep': 'Conservar lo que registra',
  'start.keep.about':
    'Los registros quedan en este teléfono hasta que la oficina los tenga. Pida al navegador que ' +
    'los conserve.',
  'start.keep.install':
    'En un iPhone o iPad: añada primero esta página a la pantalla de inicio, ábrala desde ahí y ' +
    'dé de alta el teléfono ahí. Safari puede borrar lo que guarda una página tras siete días ' +
    'sin uso.',
  'start.keep.ask': 'Pedirlo al navegador',
  'start.keep.promised': 'El navegador prometió conservar los registros.',
  'start.keep.refused':
    'El navegador no lo prometió. La aplicación funciona igual: envíe los registros cada día y ' +
    'añada la aplicación a la pantalla de inicio.',

  'enrol.title': 'Dar de alta este teléfono',
  'enrol.about':
    'La oficina hace un código que vale diez minutos. Apúntelo con la cámara o escríbalo.',
  'enrol.ask': 'Apunte la cámara al símbolo de la oficina',
  'enrol.typed': 'Código de alta',
  'enrol.send': 'Dar de alta',
  'enrol.notOne.what': 'Esto no es un código de alta.',
  'enrol.notOne.todo': 'Tiene {length} caracteres y está junto al símbolo de la oficina.',
  'enrol.wrong.what': 'La oficina no conoce este código.',
  'enrol.wrong.todo': 'Puede tener más de diez minutos o estar usado. Pida uno nuevo.',
  'enrol.noNetwork.what': 'No hay red. Para el alta hace falta.',
  'enrol.noNetwork.todo': 'Vaya a donde haya red y vuelva a pulsar; el código queda escrito.',
  'enrol.serverTrouble.what': 'El servidor no responde como debe.',
  'enrol.serverTrouble.todo':
    'Espere un minuto y vuelva a pulsar. Si sigue igual, avise a la oficina.',
  'enrol.tooMany.what': 'Demasiados intentos.',
  'enrol.tooMany.todo': 'Espere diez minutos y pida a la oficina un código nuevo.',

  'waiting.title': 'Muestre esto a la oficina',
  'waiting.about':
    'La oficina compara estas letras con las suyas y admite el teléfono. Si no son iguales, diga ' +
    'que no.',
  'waiting.name': 'Teléfono {name}',
  'waiting.again': 'Preguntar otra vez',
  'waiting.still': 'La oficina aún no ha admitido este teléfono.',

  'revoked.title': 'La oficina ha parado este teléfono',
  'revoked.about':
    'No se puede registrar nada nuevo. Lo que no se envió sigue aquí: guárdelo en un archivo y ' +
    'entréguelo a la oficina.',
  'revoked.again': 'Dar de alta otra vez',

  'person.title': '¿Quién trabaja ahora con este teléfono?',
  'person.about':
    'Desde ahora cada registro lleva este nombre. Los registros anteriores conservan el suyo.',
  'person.none': 'Aún no hay nombres. Llegan con los datos: vaya a donde haya red y actualícelos.',
  'person.search': 'Buscar un nombre',
}
