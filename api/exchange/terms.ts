// The words of EPCIS 2.0 and CBV 2.0 that we read and write, and the name space of our own words.

/** The context of the standard, by which every plain word in a document gets its meaning. */
export const STANDARD_CONTEXT = 'https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld'
/** The version of EPCIS that we write, and the only one that we read. */
export const SCHEMA_VERSION = '2.0'
/** The prefix of our own words in a document that we write. */
export const OWN_PREFIX = 'cm'
/** How the name space of our own words ends, whatever nursery's host it begins with. */
export const OWN_PATH = '/ns/canemark/1/'

/** Where the standard keeps the words of its Core Business Vocabulary. */
export const CBV = 'https://ref.gs1.org/cbv/'
/** Where the standard keeps its kinds of measurement. */
export const GS1_VOC = 'https://ref.gs1.org/voc/'

/** Prefixes that the context of the standard declares, so that no document has to. */
export const STANDARD_PREFIXES: Readonly<Record<string, string>> = {
  cbv: CBV,
  gs1: GS1_VOC,
  epcis: 'https://ref.gs1.org/epcis/',
  cbvmda: 'urn:epcglobal:cbv:mda:',
  rdfs: 'http://www.w3.org/2000/01/rdf-schema#',
  owl: 'http://www.w3.org/2002/07/owl#',
  xsd: 'http://www.w3.org/2001/XMLSchema#',
  dcterms: 'http://purl.org/dc/terms/',
}

/** The 41 business steps of CBV 2.0. */
export const BIZ_STEPS = [
  ...['accepting', 'arriving', 'assembling', 'collecting', 'commissioning', 'consigning'],
  ...['creating_class_instance', 'cycle_counting', 'decommissioning', 'departing', 'destroying'],
  ...['disassembling', 'dispensing', 'encoding', 'entering_exiting', 'holding', 'inspecting'],
  ...['installing', 'killing', 'loading', 'other', 'packing', 'picking', 'receiving', 'removing'],
  ...['repackaging', 'repairing', 'replacing', 'reserving', 'retail_selling', 'sampling'],
  ...['sensor_reporting', 'shipping', 'staging_outbound', 'stock_taking', 'stocking', 'storing'],
  ...['transporting', 'unloading', 'unpacking', 'void_shipping'],
] as const

/** The 33 dispositions of CBV 2.0. */
export const DISPOSITIONS = [
  ...['active', 'available', 'completeness_inferred', 'completeness_verified', 'conformant'],
  ...['container_closed', 'container_open', 'damaged', 'destroyed', 'dispensed', 'disposed'],
  ...['encoded', 'expired', 'in_progress', 'in_transit', 'inactive', 'mismatch_class'],
  ...['mismatch_instance', 'mismatch_quantity', 'needs_replacement', 'no_pedigree_match'],
  ...['non_conformant', 'non_sellable_other', 'partially_dispensed', 'recalled', 'reserved'],
  ...['retail_sold', 'returned', 'sellable_accessible', 'sellable_not_accessible', 'stolen'],
  ...['unavailable', 'unknown'],
] as const

/**
 * Units of quantity (UN/ECE Recommendation 20) that say that things were counted: C62 one, EA each,
 * H87 piece. No unit says the same. Everything that we count is counted.
 */
export const COUNTING_UNITS: ReadonlySet<string> = new Set(['C62', 'EA', 'H87'])
