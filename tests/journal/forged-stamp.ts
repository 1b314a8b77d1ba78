// Signs what a stamp says anew by openssl's CMS, as somebody with another certificate would.
import { readFile, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { ContentInfo, SignedData, TSTInfo } from 'pkijs'
import { openssl } from './stamp-authority.ts'

/** An answer that says what `token` says, signed by `tsa` or `ca` of the authority's folder. */
export async function forgedAnswer(
  folder: string,
  token: Buffer,
  by: { signer: 'tsa' | 'ca'; isNamed: boolean },
): Promise<{ answer: Buffer; nonce: Buffer }> {
  const signed = new SignedData({ schema: ContentInfo.fromBER(new Uint8Array(token)).content })
  const content = Buffer.from(signed.encapContentInfo.eContent?.getValue() ?? new ArrayBuffer(0))
  await writeFile(path.join(folder, 'tstinfo.der'), content)
  const type = ['-econtent_type', '1.2.840.113549.1.9.16.1.4', '-nosmimecap', '-md', 'sha256']
  const key = ['-signer', `${by.signer}.pem`, '-inkey', `${by.signer}.key`]
  const files = ['-in', 'tstinfo.der', '-outform', 'DER', '-out', 'forged.tst']
  const named = by.isNamed ? ['-cades'] : []
  openssl(folder, 'cms', '-sign', '-binary', '-nodetach', ...type, ...key, ...named, ...files)
  const forged = await readFile(path.join(folder, 'forged.tst'))
  // TimeStampResp: PKIStatusInfo with status 0, and the token.
  const granted = Buffer.from('3003020100', 'hex')
  const nonce = TSTInfo.fromBER(content).nonce?.valueBlock.valueHexView ?? new Uint8Array()
  return { answer: sequence(Buffer.concat([granted, forged])), nonce: Buffer.from(nonce) }
}

/** A SEQUENCE of DER with 256 to 65535 bytes in it. */
function sequence(inside: Buffer): Buffer {
  const head = Buffer.from([0x30, 0x82, 0, 0])
  head.writeUInt16BE(inside.length, 2)
  return Buffer.concat([head, inside])
}
