// People, their devices, and what is opened to auditors.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { saveNewPerson, showNewPerson, showPeople } from './list.tsx'
import { makeLink, savePerson, saveTime, showPerson } from './person.tsx'

export const peoplePages = new Hono<Env>()

peoplePages.get('/', showPeople)
peoplePages.get('/new', showNewPerson).post('/new', saveNewPerson)
peoplePages.get('/:personId', showPerson).post('/:personId', savePerson)
peoplePages.post('/:personId/link', makeLink)
peoplePages.post('/:personId/time', saveTime)
