// The fields of each calculation, in groups. The server reads the words and knows what they must be; here stands only how
// they are asked for.
const text = (name, label, example, hint = '') => ({ name, label, example, hint });
const lines = (name, label, example, hint) => ({ name, label, example, hint, kind: 'lines' });
const tick = (name, label) => ({ name, label, kind: 'tick' });

export const forms = {
  wire: {
    title: 'Conductor',
    about: 'What a lead of the opened sample does at a current: how warm it gets between its ends, what it loses, what it may carry.',
    groups: [
      { heading: 'Needed', fields: [
        text('size', 'Size', '4 x 10 AWG', 'as printed; 20 x 2 mm for a bar'),
        text('length', 'Length', '22 cm', 'from end to end'),
        text('current', 'Current', '100 A', 'through all of them together'),
        text('burst', 'Burst current', '200 A', 'if there is one; as if it lasted'),
      ] },
      { heading: 'As far as it is known', fields: [
        { name: 'metal', label: 'Metal', kind: 'choice', values: ['', 'copper', 'tinned copper', 'aluminium', 'CCA', 'nickel', 'steel', 'brass'] },
        text('insulation', 'Insulation', '105 °C', 'what its jacket is rated for'),
        text('cell', 'Cell end', '38 °C', 'of the cell or terminal, by a probe'),
        text('board', 'Board end', '52 °C', 'of the board, by a probe'),
        text('air', 'Air', '35 °C', 'around it'),
        text('joint', 'Each joint', '0.05 mΩ'),
        tick('closed', 'In a closed case'), tick('bundled', 'In one bundle'), tick('bare', 'Without a jacket'),
      ] },
    ],
  },
  thermistor: {
    title: 'Thermistor',
    about: 'The resistance of a board’s sensor as a temperature, and back.',
    groups: [
      { heading: 'Asked', fields: [lines('value', 'Resistances or temperatures', '28.7 kΩ\n-20 °C', 'one a line, each with its unit')] },
      { heading: 'Its curve by R25 and B', fields: [
        text('r25', 'At 25 °C', '10 kΩ'), text('beta', 'B, in kelvin', '3435'),
        text('spread', 'Spread', '1 %', 'of R25 and of B, either way'),
      ] },
      { heading: 'Or by three points of its table', fields: [
        text('point1', 'First point', '32.65 kΩ, 0 °C'), text('point2', 'Second point', '10 kΩ, 25 °C'), text('point3', 'Third point', '3.6 kΩ, 50 °C'),
      ] },
    ],
  },
  cellcode: {
    title: 'Cell code',
    about: 'The 24 characters on a cell taken apart, what does not fit, and whether several can be one batch.',
    groups: [
      { heading: 'Asked', fields: [
        { ...lines('code', 'Codes', 'ZZZCB99ABCDEFGB3C0000123', 'one a line, as they stand on the cells'), picture: true },
        text('tested', 'Day of the test', '2026-03-14', 'to which the age is counted'),
      ] },
    ],
  },
  casesize: {
    title: 'Case size',
    about: 'The outside of a sample against the groups that trays and boxes are made for (BCI, EN).',
    groups: [
      { heading: 'Asked', fields: [
        text('length', 'Length', '329 mm', 'millimetres where no unit is given'),
        text('width', 'Width', '172 mm'),
        text('height', 'Height', '238 mm', 'over the terminals'),
        text('group', 'Group on the label', '31', 'without it the nearest are shown'),
      ] },
    ],
  },
};
