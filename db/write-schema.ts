// Regenerates db/schema.txt and db/types.ts from the migrations: `npm run schema`.
import { execFileSync } from 'node:child_process'
import { randomBytes } from 'node:crypto'
import { writeFile } from 'node:fs/promises'
import pg from 'pg'
import { connect } from './connect.ts'
import { describeSchema } from './describe-schema.ts'
import { migrate } from './migrate.ts'
import { ensureRoles } from './roles.ts'

const url = process.env.TEST_DATABASE_URL
if (url === undefined) {
  throw new Error('set TEST_DATABASE_URL to a Postgres server on which databases may be made')
}
const name = `canemark_schema_${randomBytes(4).toString('hex')}`
const admin = new pg.Client({ connectionString: url })
await ensureRoles(url)
await admin.connect()
await admin.query(`create database ${name} owner canemark_owner`)
const target = new URL(url)
target.pathname = `/${name}`
const owner = connect(target.href, 'owner')
try {
  await migrate(owner.db)
  await writeFile(new URL('./schema.txt', import.meta.url), await describeSchema(owner.db))
  execFileSync('npx', ['kysely-codegen', '--url', target.href, ...codegenOptions()], {
    stdio: 'inherit',
  })
} finally {
  await owner.close()
  await admin.query(`drop database ${name} with (force)`)
  await admin.end()
}

function codegenOptions(): string[] {
  return [
    ...['--dialect', 'postgres', '--date-parser', 'string', '--exclude-pattern', 'kysely_*'],
    ...['--type-mapping', '{"int8":"number"}', '--out-file', 'db/types.ts'],
  ]
}
