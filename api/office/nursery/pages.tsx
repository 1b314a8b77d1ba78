// Nursery: its particulars, varieties, firms and crews, and policies.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { saveParty, showParties, showPartyForm } from './parties.tsx'
import { savePolicy, showPolicies, showPolicyForm } from './policies.tsx'
import { saveProfile, showProfile, showProfileForm } from './profile.tsx'
import { saveVariety, showVarieties, showVarietyForm } from './varieties.tsx'

export const nurseryPages = new Hono<Env>()

nurseryPages.get('/', showProfile)
nurseryPages.get('/profile', showProfileForm).post(saveProfile)

nurseryPages.get('/varieties', showVarieties)
nurseryPages.get('/varieties/new', showVarietyForm).post(saveVariety)
nurseryPages.get('/varieties/:varietyId', showVarietyForm).post(saveVariety)

nurseryPages.get('/parties', showParties)
nurseryPages.get('/parties/new', showPartyForm).post(saveParty)
nurseryPages.get('/parties/:partyId', showPartyForm).post(saveParty)

nurseryPages.get('/policies', showPolicies)
nurseryPages.get('/policies/:key', showPolicyForm).post(savePolicy)
