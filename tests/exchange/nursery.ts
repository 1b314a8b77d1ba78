// A nursery with a host of its own, for tests of exchange.
import type { Draft } from '../../api/journal/desk.ts'

export const nurseryDraft: Draft = {
  kind: 'nursery.described',
  body: {
    name: 'Hillfoot nursery',
    address: 'Hill road 1',
    country: 'DE',
    operatorNumber: null,
    certificationBody: null,
    labelHost: 'vines.example',
    timeZone: 'Europe/Berlin',
  },
}
