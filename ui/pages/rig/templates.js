// Where one begins: a few plain answers become a text in the form of docs/rig.md, docs/instruments.md and docs/loads.md.
// The numbers are to be replaced by what the maker prints of the meter at hand.

const name = { key: 'name', label: 'What the rig is called', value: 'bench by the window' };
const volts = (value) => ({ key: 'volts', label: 'Volts: accuracy', value, hint: 'As the maker prints it, such as 0.5 % + 3 digits.' });
const voltStep = { key: 'voltStep', label: 'Volts: last digit', value: '0.01 V' };
const amps = (value) => ({ key: 'amps', label: 'Amps: accuracy', value, hint: 'A percentage of range needs its range: 1 % of 100 A.' });
const ampStep = (value) => ({ key: 'ampStep', label: 'Amps: last digit', value });
const leads = { key: 'leads', label: 'Volts are taken', choices: ['at the terminals of the sample', 'elsewhere: the leads count'] };
const from = (key, label, value, hint) => ({ key, label, value, hint });
const address = (value) => ({ key: 'address', label: 'Address', value, hint: 'tcp HOST:PORT, serial DEVICE BAUD 8N1, or usbtmc DEVICE.' });

const leadsLine = (v) => (v.leads === leads.choices[0] ? 'sense leads = yes\n' : 'leads = 5 mohm\n');

const linked = (driver, v, more = '') => `name = ${v.name}
[${v.name} meter]
driver = ${driver}
address = ${v.address}
${more}voltage from = ${v.voltsFrom}
voltage = ${v.volts}
current from = ${v.ampsFrom}
current = ${v.amps}
${leadsLine(v)}`;

export const rigTemplates = [
  {
    name: 'Two meters that I read', about: 'Readings are typed as they are seen, or told from a film.',
    fields: [name, volts('0.5 % + 3 digits'), voltStep, amps('1.5 % + 5 digits'), ampStep('0.1 A'), leads],
    write: (v) => `name = ${v.name}\n${leadsLine(v)}\n[voltage]\naccuracy = ${v.volts}\nresolution = ${v.voltStep}\n
[current]\naccuracy = ${v.amps}\nresolution = ${v.ampStep}\n`,
  },
  {
    name: 'A shunt and a millivolt meter', about: 'The errors of the shunt and of the meter across it both count.',
    fields: [name, volts('0.1 % + 2 digits'), voltStep,
      { key: 'shunt', label: 'Shunt', value: 'class 0.5, 200 A / 60 mV', hint: 'Its class, or a percentage, and what stands on it.' },
      { key: 'amps', label: 'Millivolt meter: accuracy', value: '0.1 % + 0.02 mV' }, ampStep('0.01 mV'), leads],
    write: (v) => `name = ${v.name}\n${leadsLine(v)}\n[voltage]\naccuracy = ${v.volts}\nresolution = ${v.voltStep}\n
[current]\nshunt = ${v.shunt}\naccuracy = ${v.amps}\nresolution = ${v.ampStep}\n`,
  },
  {
    name: 'An instrument that speaks SCPI', about: 'Over a socket, a serial line or USBTMC.',
    fields: [name, address('tcp 192.168.7.21:5025'), from('voltsFrom', 'Volts are asked by', 'MEAS:VOLT?'), volts('0.05 % + 2 digits'),
      from('ampsFrom', 'Amps are asked by', 'MEAS:CURR?', 'Add “reversed” where amps that leave the sample come as negative.'), amps('0.2 % + 5 mA'), leads],
    write: (v) => linked('scpi', v),
  },
  {
    name: 'A meter on Modbus', about: 'Over a serial line or a socket. Its manual has the registers.',
    fields: [name, address('serial /dev/ttyUSB0 9600 8N1'), from('unit', 'Unit', '1'),
      from('voltsFrom', 'Volts are in', 'input 0 u16 times 0.01', 'input or holding, register from 0, form, what a step is worth.'), volts('0.5 % + 2 digits'),
      from('ampsFrom', 'Amps are in', 'input 1 i16 times 0.01'), amps('1 % + 2 digits'), leads],
    write: (v) => linked('modbus', v, `unit id = ${v.unit}\n`),
  },
  {
    name: 'A meter that prints lines', about: 'One line a reading, such as 0:12:34;12.90;20.5.',
    fields: [name, address('serial /dev/ttyUSB0 9600 8N1'), from('voltsFrom', 'Volts are', 'field 2', 'field 2, or key volts where names stand before the numbers.'),
      volts('0.5 % + 2 digits'), from('ampsFrom', 'Amps are', 'field 3'), amps('1 % + 2 digits'), leads],
    write: (v) => linked('lines', v),
  },
  {
    name: 'A sensor on MQTT', about: 'Topics of a broker on the local network.',
    fields: [name, address('tcp 192.168.7.2:1883'), from('voltsFrom', 'Volts are in', 'topic bench/volts', 'topic NAME, and field PATH where the message is JSON.'),
      volts('0.5 % + 2 digits'), from('ampsFrom', 'Amps are in', 'topic bench/amps'), amps('1 % + 2 digits'), leads],
    write: (v) => linked('mqtt', v),
  },
];

export const valuesOf = (template) => Object.fromEntries(template.fields.map((one) => [one.key, one.value ?? one.choices[0]]));
export const firstRig = () => rigTemplates[0].write(valuesOf(rigTemplates[0]));

export const loadsTemplate = `[inverter]
power = 1500 W
efficiency = 90 %

[heater]
power = 250 W
behind inverter = yes

[kettle]
power = 1000 W
behind inverter = yes
`;
