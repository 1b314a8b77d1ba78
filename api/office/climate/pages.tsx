// The climate of the cold store: board, storage of a lot, excursions, loggers and their files.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { showBoard } from './board.tsx'
import { showExcursions } from './excursions-page.tsx'
import { confirmImport, previewAgain, previewImport, showImport } from './import.tsx'
import { saveMoveLogger, saveNewLogger, showMoveLogger, showNewLogger } from './logger-form.tsx'
import { showLogger, showLoggers } from './loggers.tsx'
import { showLotStorage } from './lot-page.tsx'

export const climatePages = new Hono<Env>()

const logger = '/loggers/:loggerId{[0-9a-f]{8}-[0-9a-f-]{27}}'

climatePages.get('/board', showBoard)
climatePages.get('/excursions', showExcursions)
climatePages.get('/lots/:lotId{[0-9a-f]{8}-[0-9a-f-]{27}}', showLotStorage)
climatePages.get('/loggers', showLoggers)
climatePages.get('/loggers/new', showNewLogger).post('/loggers/new', saveNewLogger)
climatePages.get(logger, showLogger)
climatePages.get(`${logger}/move`, showMoveLogger).post(`${logger}/move`, saveMoveLogger)
climatePages.get(`${logger}/import`, showImport).post(`${logger}/import`, previewImport)
climatePages.post(`${logger}/import/preview`, previewAgain)
climatePages.post(`${logger}/import/confirm`, confirmImport)
