// A hold follows the routes of its agent, whatever the agent is called, and all routes if unknown.
import { describe, expect, it } from 'vitest'
import { findAgent, HEALTH_AGENTS, ROUTES, routesOf } from '#trade/health-agents.ts'

describe('routes of a health agent', () => {
  // Sources are named beside each agent in the list itself.
  it.each([
    ['GLRaV-3', ['graft']],
    ['glrav 3', ['graft']],
    ['Grapevine leafroll-associated virus 3', ['graft']],
    ['Flavescence Dorée', ['graft']],
    ['viroids', ['graft', 'blade', 'water']],
    ['Agrobacterium vitis', ['graft', 'blade', 'water']],
    ['esca', ['graft', 'blade', 'water']],
    ['Botrytis', ['graft', 'blade', 'water', 'place']],
  ])('%s travels by %j', (name, expected) => {
    expect([...routesOf(name)]).toEqual(expected)
  })

  it('are all routes for an agent nobody listed, and for none', () => {
    expect([...routesOf('something new')]).toEqual([...ROUTES])
    expect([...routesOf(null)]).toEqual([...ROUTES])
  })

  it('always include grafting, and each agent names its source', () => {
    for (const agent of HEALTH_AGENTS) {
      expect(agent.routes.graft).toBe('shown')
      expect(agent.source).not.toBe('')
    }
  })

  it('are found under no two agents by the same name', () => {
    for (const agent of HEALTH_AGENTS) {
      for (const name of [agent.name, ...agent.alsoCalled]) expect(findAgent(name)).toBe(agent)
    }
  })
})
