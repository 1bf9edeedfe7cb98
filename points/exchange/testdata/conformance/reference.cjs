// Asks general-purpose reference implementations what they say, as JSON.
// Called by the conformance tests; NODE_PATH names the folder of the packages.
const fs = require('fs')
const input = () => fs.readFileSync(0, 'utf8')
const print = (v) => process.stdout.write(JSON.stringify(v))
const numbered = (e) => Object.fromEntries(Object.entries(e).filter(([k]) => /^[0-9]+$/.test(k)))

const questions = {
  // numbers and names of BACnet enumerations
  bacnet() {
    const b = require('@bacnet-js/client')
    print({ types: numbered(b.ObjectType), units: numbered(b.EngineeringUnits), events: numbered(b.EventType), properties: numbered(b.PropertyIdentifier) })
  },
  // id → every name and symbol of a unit
  units() {
    const list = Object.values(require('haystack-units')).filter((u) => u && u.ids)
    print(Object.fromEntries(list.map((u) => [u.ids[0], u.ids])))
  },
  // a grid as read from Hayson, and as read from Zinc, in one form
  hayson() {
    require('haystack-units')
    const grid = require('haystack-core').makeValue(JSON.parse(input()))
    print(grid.toJSON())
  },
  zinc() {
    require('haystack-units')
    const grid = require('haystack-core').ZincReader.readValue(input())
    print(grid.toJSON())
  },
  // triples of a Turtle text
  turtle() {
    const show = (t) => (t.termType === 'Literal' ? { literal: t.value, of: t.language ? '@' + t.language : t.datatype.value } : t.termType === 'BlankNode' ? { blank: true } : { iri: t.value })
    print(new (require('n3').Parser)().parse(input()).map((q) => [show(q.subject), show(q.predicate), show(q.object)]))
  },
}
questions[process.argv[2]]()
