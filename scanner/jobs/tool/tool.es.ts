// Spanish: blades, taken up and disinfected; single vines skipped.
import type { Translated } from '../../words/message.ts'
import type { TOOL_EN } from './tool.en.ts'

export const TOOL_ES: Translated<typeof TOOL_EN> = {
  'tool.title': 'Desinfectar una hoja',
  'tool.withWhat': '¿Con qué se desinfecta?',
  'tool.caution':
    'Limpie antes la savia y la tierra: la suciedad lo gasta. Siga su etiqueta, evite piel ' +
    'y ojos, nunca mezcle dos, y corte siempre alejando la hoja de la mano.',
  'tool.again': 'Otra vez con {what}',
  'tool.other': 'Con otra cosa',
  'tool.saved': 'Hoja desinfectada, guardado',
  'tool.done': 'Hoja desinfectada',
  'tool.noKnife': 'La hoja que tengo en la mano',
  'tool.takeTitle': 'Injertar con esta navaja',
  'tool.taken': 'Desde ahora los injertos son con {knife}',
  'skip.title': 'Saltar una cepa',
  'skip.saved': 'Cepa {vine} saltada, guardado',
  'skip.why': 'Cepa {vine}: ¿por qué saltarla?',
}
