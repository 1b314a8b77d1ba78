// People, their devices, and what is opened to auditors.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { endAudit, showAudits } from './audits.tsx'
import { saveConfirmed, saveRevoked, showDevice } from './device.tsx'
import { showDevices } from './devices.tsx'
import { saveEntryFile, showEntryFile } from './entry-file.tsx'
import { saveNewPhone, showEnrolment, showNewPhone } from './enrol.tsx'
import { saveJudged } from './judge.ts'
import { saveNewPerson, showNewPerson, showPeople } from './list.tsx'
import { saveNewMachine, showNewMachine } from './machine.tsx'
import { saveNewAudit, showNewAudit } from './new-audit.tsx'
import { makeLink, savePerson, saveTime, showPerson } from './person.tsx'

export const peoplePages = new Hono<Env>()

peoplePages.get('/', showPeople)
peoplePages.get('/new', showNewPerson).post('/new', saveNewPerson)

peoplePages.get('/devices', showDevices)
peoplePages.get('/devices/new', showNewPhone).post('/devices/new', saveNewPhone)
peoplePages.get('/devices/machine', showNewMachine).post('/devices/machine', saveNewMachine)
peoplePages.get('/devices/file', showEntryFile).post('/devices/file', saveEntryFile)
peoplePages.get('/devices/enrolments/:enrolmentId', showEnrolment)
peoplePages.get('/devices/:deviceId', showDevice)
peoplePages.post('/devices/:deviceId/confirm', saveConfirmed)
peoplePages.post('/devices/:deviceId/revoke', saveRevoked)
peoplePages.post('/devices/:deviceId/held', saveJudged)

peoplePages.get('/audits', showAudits)
peoplePages.get('/audits/new', showNewAudit).post('/audits/new', saveNewAudit)
peoplePages.post('/audits/:linkId/end', endAudit)

peoplePages.get('/:personId', showPerson).post('/:personId', savePerson)
peoplePages.post('/:personId/link', makeLink)
peoplePages.post('/:personId/time', saveTime)
