// The fields of each calculation. The server reads the words and knows what they must be; here stands only how they are
// asked for.
const text = (name, label, example, hint = '') => ({ name, label, example, hint });
const tick = (name, label) => ({ name, label, kind: 'tick' });

export const forms = {
  wire: {
    title: 'Conductor',
    about: 'What a lead of the opened sample does at a current: how warm it gets between its ends, what it loses, what it may carry.',
    caution: 'Computed, not measured: strands, crimps and plating differ. Work on an opened sample only when it is nearly empty, with insulated tools, and never alone.',
    fields: [
      text('size', 'Size', '4 x 10 AWG', '10 AWG, 16 mm², 20 x 2 mm for a bar; several in parallel as 4 x 10 AWG'),
      text('length', 'Length', '22 cm', 'from end to end'),
      text('current', 'Current', '100 A', 'through all of them together'),
      text('burst', 'Burst current', '200 A', 'as if it lasted'),
      { name: 'metal', label: 'Metal', kind: 'choice', values: ['', 'copper', 'tinned copper', 'aluminium', 'CCA', 'nickel', 'steel', 'brass'] },
      text('insulation', 'Insulation', '105 °C', 'what its jacket is rated for'),
      text('air', 'Air', '35 °C', 'around it'),
      text('cell', 'Cell end', '38 °C', 'of the cell or terminal, where a probe was'),
      text('board', 'Board end', '52 °C', 'of the board, where a probe was'),
      text('joint', 'Each joint', '0.05 mΩ'),
      tick('closed', 'In a closed case'), tick('bundled', 'In one bundle'), tick('bare', 'Without a jacket'),
    ],
  },
  thermistor: {
    title: 'Thermistor',
    about: "A sensor's resistance to a temperature and back, by R25 with B, or by three points of its table.",
    caution: 'Measure an open sensor only with the board unpowered.',
    fields: [
      { name: 'value', label: 'Resistances or temperatures', kind: 'several', example: '28.7 kΩ\n-20 °C', hint: 'one a line' },
      text('r25', 'At 25 °C', '10 kΩ'),
      text('beta', 'B, in kelvin', '3435'),
      text('point1', 'First point', '32.65 kΩ, 0 °C', 'of its table, instead of R25 and B'),
      text('point2', 'Second point', '10 kΩ, 25 °C'),
      text('point3', 'Third point', '3.6 kΩ, 50 °C'),
      text('spread', 'Spread', '1 %', 'of R25 and of B, either way'),
    ],
  },
  cellcode: {
    title: 'Cell code',
    about: 'The 24 characters on a cell taken apart (GB/T 34014-2017), what does not fit, and whether several can be one batch.',
    fields: [
      { name: 'code', label: 'Codes', kind: 'several', example: 'ZZZCB99ABCDEFGB3C0000123', hint: 'one a line, as they stand on the cells' },
      text('tested', 'Day of the test', '2026-03-14', 'to which the age is counted'),
    ],
  },
  casesize: {
    title: 'Case size',
    about: 'The outside of a sample against the groups that trays and boxes are made for (BCI, EN).',
    fields: [
      text('length', 'Length', '329 mm', 'millimetres where no unit is given'),
      text('width', 'Width', '172 mm'),
      text('height', 'Height', '238 mm', 'over the terminals'),
      text('group', 'Group on the label', '31', 'without it the nearest are shown'),
    ],
  },
};
