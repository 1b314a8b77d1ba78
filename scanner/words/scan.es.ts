// Spanish: reading tags, and what is said of every text that a camera or a hand may give.
import type { Translated } from './message.ts'
import type { SCAN_EN } from './scan.en.ts'

export const SCAN_ES: Translated<typeof SCAN_EN> = {
  'reader.ask': 'Apunte la cámara a una etiqueta',
  'reader.lamp': 'Luz',
  'reader.typed': 'O escriba el código de la etiqueta',
  'reader.find': 'Buscar',

  'camera.denied':
    'La cámara no está permitida. Permítala para esta página en los ajustes del teléfono o ' +
    'escriba el código.',
  'camera.absent':
    'Este teléfono no muestra ninguna cámara. Escriba el código o use un lector que teclee.',
  'camera.inUse': 'Otra aplicación usa la cámara. Cierre esa aplicación o escriba el código.',
  'camera.notSecure':
    'La cámara necesita una dirección que empiece por https. Pregunte a la oficina o escriba el ' +
    'código.',
  'camera.noDecoder':
    'El lector de la cámara no arrancó. Abra la aplicación de nuevo o escriba el código.',

  'which.title': '¿Qué etiqueta?',
  'which.about': 'Hay más de una a la vista. Nada se elige por usted.',
  'which.none': 'Ninguna de estas',

  'thing.bundleOf': 'Haz del lote {lot}',
  'thing.clone': 'clon {clone}',
  'thing.class': 'categoría {name}',

  'found.noTag': 'No es etiqueta nuestra',
  'found.mistyped': 'Un código con un error',
  'found.tag': 'Etiqueta {code}',
  'found.handover': 'Una entrega',
  'found.notThis.what': 'Esto no es lo que se pide aquí.',
  'found.notThis.todo': 'Lea otra etiqueta.',
  'found.unbound.what': 'Esta etiqueta aún no está asignada a nada.',
  'found.unbound.todo':
    'Si cuelga de madera, no use la madera: pregunte a la oficina qué es. Las etiquetas nuevas ' +
    'se asignan al cortar la madera.',
  'found.ended.what': 'El uso de esta etiqueta terminó.',
  'found.ended.todo': 'No use lo que la lleva hasta que la oficina diga qué es.',
  'found.spoiled.what': 'Esta etiqueta se dio por inservible.',
  'found.spoiled.todo': 'No use lo que la lleva hasta que tenga una etiqueta nueva.',
  'found.unknown.what': 'Este teléfono no conoce esta etiqueta.',
  'found.unknown.todo':
    'Puede ser más nueva que los datos de este teléfono. Actualice los datos donde haya red o ' +
    'pregunte a la oficina. Hasta entonces no use la madera.',
  'found.otherNursery.what': 'Es una etiqueta de otro vivero.',
  'found.otherNursery.todo':
    'La madera que llega recibe primero una etiqueta nuestra: pregunte a la oficina.',
  'found.foreignWeb.what': 'Es una dirección web, no una etiqueta. No se abrió.',
  'found.foreignWeb.todo': 'Lea la etiqueta del haz, del lote, de la fila o del lugar.',
  'found.foreignWifi.what': 'Es un código wifi, no una etiqueta. No se conectó a nada.',
  'found.foreignWifi.todo': 'Lea la etiqueta del haz, del lote, de la fila o del lugar.',
  'found.foreignText.what': 'No es una de nuestras etiquetas.',
  'found.foreignText.todo': 'Lea la etiqueta del haz, del lote, de la fila o del lugar.',
  'found.journalProof.what':
    'Es una prueba del diario, no una etiqueta. No pertenece a ninguna madera.',
  'found.journalProof.todo':
    'Guárdela con la entrega: muestra más tarde que el diario del vivero no se reescribió. Lea ' +
    'la etiqueta del haz, del lote, de la fila o del lugar.',

  'slip.length.what': 'Un código tiene {expected} caracteres; este tiene {length}.',
  'slip.short.todo': 'Falta un carácter. Compárelo con la etiqueta, grupo por grupo.',
  'slip.long.todo': 'Sobra un carácter. Compárelo con la etiqueta, grupo por grupo.',
  'slip.letter.what': '«{character}» no está en ningún código.',
  'slip.letter.todo': 'Los códigos tienen cifras y letras, pero no I, L, O ni U.',
  'slip.check.what': 'Un carácter no encaja con los demás: se leyó o se escribió mal.',
  'slip.check.todo': 'Compárelo con la etiqueta, grupo por grupo.',
  'slip.group.todo': 'Mire otra vez el grupo {groups}.',
}
