/* The sheets. What is common practice says so in its sources; nothing here was taken from a published procedure. */
#include "claims/guide_parts.h"

#include <stddef.h>

const struct guide_template guide_common[] = {
    {GUIDE_CAUTIONS, 0, "A pack of this kind drives thousands of amperes into a short: rings and watches off, insulated tools, eyes "
     "protected, a fuse in the line at the pack, sized for the thinnest cable.", NULL},
    {GUIDE_CAUTIONS, 0, "Never leave it alone while current flows. Know beforehand how you cut the current by hand, without "
     "reaching over the pack.", NULL},
    {GUIDE_CAUTIONS, 0, "Never beyond the limits of the cells: {most_v}, {least_v}. What the board should have stopped by then is "
     "stopped by you, and that is the result.", NULL},
    {GUIDE_CAUTIONS, 0, "Stop at smoke, smell, hiss or swelling; move away, ventilate, and have plenty of water at hand.", NULL},
    {GUIDE_CAUTIONS, WHEN_INVERTER, "Behind the inverter is mains voltage: wiring there is for licensed people under the local code.", NULL},
    {GUIDE_CAUTIONS, 0, "Local codes, the manual of the sample and licensed practice stand above this sheet.", NULL},
    {0, 0, NULL, NULL},
};

static const struct guide_template charge[] = {
    {GUIDE_SHOWS, 0, "The parts at constant current and at constant volts, the tail, the volts at the end, who ended the charge, "
     "and whether the sample was full by the usual criterion.", NULL},
    {GUIDE_SHOWS, 0, "With the discharge recorded straight after: charge and energy accepted beside delivered.", NULL},
    {GUIDE_SHOWS, 0, "The volts to which it settles, when the rest lasts three of the time constants found.", NULL},
    {GUIDE_SHOWS_NOT, 0, "Fullness from the volts at rest: between about 15 and 95 % they hardly differ.", NULL},
    {GUIDE_SHOWS_NOT, 0, "Balance of the cells, unless each group is read or the readings at the end are dense.", NULL},
    {GUIDE_NEEDS, 0, "A charger or supply for lithium iron phosphate, set to {charge_v} and {charge_a} or less.", NULL},
    {GUIDE_NEEDS, 0, "Volts at the sample's terminals and amps, read at least once a minute, and once a second near the end.", NULL},
    {GUIDE_PREPARE, 0, "Bring the sample to room temperature throughout: at least 10 °C, at most 30 °C, for some hours.", NULL},
    {GUIDE_PREPARE, 0, "Set volts and current of the supply with nothing connected, then check polarity with the meter before you "
     "connect.", NULL},
    {GUIDE_CAUTIONS, 0, "Charge on a surface that does not burn, at {charge_v}, not more; charging below 0 °C plates lithium.", NULL},
    {GUIDE_STEPS, 0, "Begin the recording as a charge and let it run for a minute with the charger off.", NULL},
    {GUIDE_STEPS, 0, "Switch the charger on.", "charger on"},
    {GUIDE_STEPS, 0, "Let it charge at constant current. Look at it every few minutes; the case may get warm to the hand, not hot.", NULL},
    {GUIDE_STEPS, 0, "When the volts reach {charge_v} let them be held there until the current has died away to {tail_a}: only then "
     "it counts as full.", NULL},
    {GUIDE_STEPS, 0, "Switch the charger off, unless it ended by itself: then say so.", "charger off by hand"},
    {GUIDE_STEPS, 0, "Take the charger off the terminals and go on recording the volts at rest for an hour, better four; the run "
     "says afterwards how much longer it would take.", "rest begins"},
    {GUIDE_STEPS, 0, "End the recording. Discharge straight after it, as the plan says, so that the charge shows a full start.", NULL},
    {GUIDE_STOP, 0, "At {most_v}, read at the terminals, whatever the charger does.", NULL},
    {GUIDE_STOP, 0, "When the case passes 45 °C (usual limit of charging).", NULL},
    {GUIDE_STOP, 0, "When the current rises again at constant volts, or the volts fall while current flows.", NULL},
    {GUIDE_NOTE, 0, "Settings of the charger; who ended the charge: charger, BMS or you; room temperature at begin and end; any "
     "cycling of the current at the end.", NULL},
    {GUIDE_SOURCES, 0, "Full when the current has fallen to 0.05 It at the volts of the charge: common practice, no source; the "
     "standards leave it to the maker.", NULL},
    {GUIDE_SOURCES, 0, "3.65 V a cell and charging from 0 to 45 °C: several general pages on lithium iron phosphate that agree. Rest of "
     "1 to 4 h before a discharge: IEC 61960-3, from memory.", NULL},
    {0, 0, NULL, NULL},
};

#define SENSOR_SHOWS \
    {GUIDE_SHOWS, 0, "With a strong stimulus: that the protection exists, acts, and how long after the mark.", NULL}, \
    {GUIDE_SHOWS, WHEN_PROBE, "With slow ramps: the temperature of the place of the probe at the stop and at the release, and their " \
     "difference. In both directions and more than once, since the lag of the pack's own sensor turns its sign.", NULL}, \
    {GUIDE_SHOWS_NOT, 0, "A strong stimulus measures no threshold: the sensor is far from the probe's temperature when it acts.", NULL}, \
    {GUIDE_SHOWS_NOT, WHEN_NO_PROBE, "Any temperature: this rig reads none at the sample. Say only that it acted.", NULL}, \
    {GUIDE_SHOWS_NOT, 0, "The lag of the pack's own sensor and the delay of its board: they stay unknown.", NULL}

#define SENSOR_NEEDS \
    {GUIDE_NEEDS, 0, "A supply that holds {small_a} at up to {charge_v}, and a sample that is about half full, so that it takes the " \
     "current all the time.", NULL}, \
    {GUIDE_NEEDS, WHEN_PROBE, "The rig's probe, bare or in a thin sleeve, fixed at the sensor with tape and paste.", NULL}, \
    {GUIDE_NEEDS, WHEN_NO_PROBE, "A thin temperature probe at the sensor, as channel temperature of the rig, wherever a threshold " \
     "matters.", NULL}, \
    {GUIDE_NEEDS, 0, "Where the sensor cannot be reached: the closed case, and hours to bring all of it to a temperature.", NULL}, \
    {GUIDE_PREPARE, WHEN_NO_LAG, "Find the probe's lag by a step: taped to a scrap as it will be taped to the sensor, from room air into " \
     "stirred ice water, recorded every second until it has settled. The time to 63 % of the way is the lag; write it into the rig, as " \
     "in: probe lag = 12 s.", NULL}, \
    {GUIDE_PREPARE, WHEN_LAG, "The rig states a lag of {lag} for the probe: at 0.5 K/min it runs behind by {lag_k}, which is corrected. " \
     "Check it by a step, as mounted.", NULL}, \
    {GUIDE_PREPARE, 0, "Treat the sensor alone, not the cells: keep ice, packs and hot air off them with a sheet of foam.", NULL}, \
    {GUIDE_PREPARE, 0, "Set the supply to {charge_v} and {small_a}; check that the amps read clearly above zero.", NULL}

#define SENSOR_SOURCES \
    {GUIDE_SOURCES, 0, "Ramps of at most 0.5 K/min, strong stimuli that act within seconds to a minute, {small_a} for the time of the " \
     "test: common practice, no source. Lag of first order: battery/probe_lag.h, docs/methods.md.", NULL}

static const struct guide_template cold_charge[] = {
    SENSOR_SHOWS,
    {GUIDE_SHOWS, WHEN_STATED, "Held against the label's {limit}: met when it stops at or above that.", NULL},
    {GUIDE_SHOWS, WHEN_UNSTATED, "The label states no temperature: it is told beside the usual limit, 0 °C.", NULL},
    SENSOR_NEEDS,
    {GUIDE_NEEDS, 0, "Ice in a thin bag, or a cold pack with a salt mixture where it has to go below 0 °C; for a slow ramp a block of "
     "metal between cold pack and sensor.", NULL},
    {GUIDE_CAUTIONS, 0, "Charging cells below 0 °C plates lithium and harms them for good: where the sensor can be reached, it alone gets so "
     "cold. Keep the current at {small_a} or less, and stop by hand when a cell itself is below 5 °C.", NULL},
    {GUIDE_CAUTIONS, 0, "Ice water and electrics: everything wet stays in a closed bag, below the level of terminals and board; dry the "
     "place before the next round.", NULL},
    {GUIDE_STEPS, 0, "Begin the recording as a protection test. Switch the supply on; wait until volts and amps stand.", "charger on"},
    {GUIDE_STEPS, 0, "First round, strong: put the ice on the sensor and mark that instant; say which sensor, if there are several.",
     "sensor chilled"},
    {GUIDE_STEPS, 0, "When the current stops, leave the supply on: its volts jump up to what it is set to, which tells the board from a "
     "slipped clip. Take the ice away.", "ice taken away"},
    {GUIDE_STEPS, 0, "Wait until the charge goes on by itself: that is the release.", NULL},
    {GUIDE_STEPS, WHEN_PROBE, "Second round, slow: from {ramp_from} down at no more than 0.5 K/min ({ramp_time} to {ramp_to}), current "
     "on all the time. Mark it again every 20 min: what was marked half an hour before a stop is not counted.", "sensor chilled slowly"},
    {GUIDE_STEPS, WHEN_PROBE, "After the stop let it come back as slowly, at no more than 0.5 K/min, until the release.", "ice taken away"},
    {GUIDE_STEPS, WHEN_PROBE, "Do the slow round again, three times in all if you can: repeats are pooled.", NULL},
    {GUIDE_STEPS, 0, "Where the sensor is out of reach: cool the closed case to {soak_degc} for a night with nothing connected, then "
     "switch the supply on for five seconds, no longer. A board that does its work lets nothing flow.", "sample chilled through"},
    {GUIDE_STEPS, 0, "Switch the supply off and end the recording.", "charger off by hand"},
    {GUIDE_STOP, WHEN_PROBE, "At {ramp_to} at the probe while current flows: it did not act, and that is the result.", NULL},
    {GUIDE_STOP, 0, "After five seconds of current into a case that is cold throughout.", NULL},
    {GUIDE_STOP, WHEN_NO_PROBE, "After five minutes of ice without a stop.", NULL},
    {GUIDE_STOP, 0, "At {charge_v}: the sample is full, and a stop from here on would be no answer to the cold.", NULL},
    {GUIDE_NOTE, 0, "Where the sensor sits and how it was reached; where the probe was and how it was fixed; how the sensor was cooled; "
     "temperature of the cells.", NULL},
    {GUIDE_SOURCES, 0, "No charge below 0 °C: several general pages on lithium iron phosphate that agree.", NULL},
    SENSOR_SOURCES,
    {0, 0, NULL, NULL},
};

static const struct guide_template hot_charge[] = {
    SENSOR_SHOWS,
    {GUIDE_SHOWS, WHEN_STATED, "Held against the label's {limit}: met when it stops at or below that.", NULL},
    {GUIDE_SHOWS, WHEN_UNSTATED, "The label states no temperature: it is told beside the usual limits, 45 to 60 °C.", NULL},
    SENSOR_NEEDS,
    {GUIDE_NEEDS, 0, "Warm air on its lowest step, or for a slow ramp a block of metal with a small heater, between heater and sensor.", NULL},
    {GUIDE_CAUTIONS, 0, "Heat the sensor, not the cells: stop when any cell passes 45 °C while it is charged. No flame, no soldering iron, "
     "no hot-air gun for paint.", NULL},
    {GUIDE_CAUTIONS, 0, "A dryer and a heater run on mains: cords away from the pack and from water, and from a socket with a residual "
     "current device.", NULL},
    {GUIDE_STEPS, 0, "Begin the recording as a protection test. Switch the supply on; wait until volts and amps stand.", "charger on"},
    {GUIDE_STEPS, 0, "First round, strong: warm air on the sensor, and mark that instant; say which sensor, if there are several.",
     "sensor heated"},
    {GUIDE_STEPS, 0, "When the current stops, leave the supply on and take the heat away.", "heat taken away"},
    {GUIDE_STEPS, 0, "Wait until the charge goes on by itself: that is the release.", NULL},
    {GUIDE_STEPS, WHEN_PROBE, "Second round, slow: from {ramp_from} up at no more than 0.5 K/min ({ramp_time} to {ramp_to}), current "
     "on all the time. Mark it again every 20 min: what was marked half an hour before a stop is not counted.", "sensor heated slowly"},
    {GUIDE_STEPS, WHEN_PROBE, "After the stop let it cool as slowly, at no more than 0.5 K/min, until the release.", "heat taken away"},
    {GUIDE_STEPS, WHEN_PROBE, "Do the slow round again, three times in all if you can: repeats are pooled.", NULL},
    {GUIDE_STEPS, 0, "Switch the supply off and end the recording.", "charger off by hand"},
    {GUIDE_STOP, WHEN_PROBE, "At {ramp_to} at the probe while current flows: it did not act, and that is the result.", NULL},
    {GUIDE_STOP, WHEN_NO_PROBE, "After two minutes of warm air without a stop, or when the jacket of a wire softens.", NULL},
    {GUIDE_STOP, 0, "At {charge_v}: the sample is full, and a stop from here on would be no answer to the heat.", NULL},
    {GUIDE_NOTE, 0, "Where the sensor sits and how it was reached; where the probe was and how it was fixed; how the sensor was heated; "
     "temperature of the cells.", NULL},
    {GUIDE_SOURCES, 0, "Charging up to 45 °C, cells up to 60 °C: several general pages on lithium iron phosphate that agree.", NULL},
    SENSOR_SOURCES,
    {0, 0, NULL, NULL},
};

static const struct guide_template over_current[] = {
    {GUIDE_SHOWS, 0, "Which current was held and for how long, or at which current and after how long the board opened.", NULL},
    {GUIDE_SHOWS, WHEN_PROBE, "How warm the place of the probe got, and, when it is held for two time constants, where it would end.", NULL},
    {GUIDE_SHOWS_NOT, 0, "Thermal equilibrium at the rated current, mostly: a pack at 1 It is empty before. What can be said is ‘held from "
     "full to cut-off, so warm, no trip’.", NULL},
    {GUIDE_SHOWS_NOT, 0, "The trip point, when nothing trips up to the peak current stated: no more is asked of it here.", NULL},
    {GUIDE_SHOWS_NOT, 0, "What a short circuit would do: it is not tested.", NULL},
    {GUIDE_NEEDS, 0, "A load of {rated_a} for the hold{peak_need}; cables, fuse and switch for the larger of them.", NULL},
    {GUIDE_NEEDS, WHEN_SHORT, "The loads known here reach {reach_a}: the peak stays out of reach, and the test ends there.", NULL},
    {GUIDE_NEEDS, WHEN_REACH, "The loads known here reach {reach_a}.", NULL},
    {GUIDE_NEEDS, WHEN_NO_LOADS, "Which loads there are is not known: with a loads file this sheet says how far they go.", NULL},
    {GUIDE_NEEDS, 0, "Amps read at least once a second; for the moment of a trip a film of the meter, or ten readings a second.", NULL},
    {GUIDE_PREPARE, 0, "Charge it full (sheet ‘Full charge with rest’), rest it for an hour.", NULL},
    {GUIDE_PREPARE, 0, "Tighten the terminals to the torque of the manual; measure the volts lost from post to lug at a small current.", NULL},
    {GUIDE_PREPARE, WHEN_PROBE, "Put the probe on the negative post, or on the board where the case is open: that is what gets hot.", NULL},
    {GUIDE_CAUTIONS, 0, "Cables, lugs and posts can burn skin within a minute at such currents. Look and smell; do not touch.", NULL},
    {GUIDE_CAUTIONS, 0, "An inductive or capacitive load can strike an arc at the switch: switch at the load, never with a clip.", NULL},
    {GUIDE_STEPS, 0, "Begin the recording as a protection test, a minute without load.", NULL},
    {GUIDE_STEPS, 0, "Load on, at {rated_a}.", "load on"},
    {GUIDE_STEPS, 0, "Hold it: from full it lasts {hold_time}. Read the temperatures on the way.", NULL},
    {GUIDE_STEPS, WHEN_PEAK | WHEN_NO_LOADS, "Half way, raise it to {peak_a} for {peak_time}, and mark the instant.", "current raised"},
    {GUIDE_STEPS, WHEN_PEAK | WHEN_REACH, "Half way, raise it to {peak_a} for {peak_time}, and mark the instant.", "current raised"},
    {GUIDE_STEPS, WHEN_PEAK | WHEN_SHORT, "Half way, raise it to all that the loads reach, {reach_a}, for {peak_time}; mark the instant.",
     "current raised"},
    {GUIDE_STEPS, WHEN_PEAK, "Back to {rated_a}.", "current lowered"},
    {GUIDE_STEPS, 0, "If the board opens: switch the load off, wait a minute, and see whether it comes back by itself.", "load off"},
    {GUIDE_STEPS, 0, "If it does not come back, connect the charger for some seconds.", "charger on to wake it"},
    {GUIDE_STEPS, 0, "Go on until the board opens at the low end, or {least_v}; then rest and end the recording.", NULL},
    {GUIDE_STOP, 0, "At the peak current that the label states, and after its seconds; without a stated peak at the continuous current.", NULL},
    {GUIDE_STOP, 0, "When a post, lug or cable passes 70 °C, or the case 60 °C.", NULL},
    {GUIDE_STOP, 0, "Below {least_v} at the terminals.", NULL},
    {GUIDE_NOTE, 0, "The load and how steady it was; cable, fuse and lugs; how the board came back, and what woke it.", NULL},
    {GUIDE_SOURCES, 0, "Posts to 70 °C, case to 60 °C; a minute for the release: common practice, no source.", NULL},
    {GUIDE_SOURCES, 0, "Equilibrium after two time constants with an interval: battery/warming.h, docs/methods.md.", NULL},
    {0, 0, NULL, NULL},
};

static const struct guide_template low_voltage[] = {
    {GUIDE_SHOWS, 0, "The volts at which the board opened, in total and as a mean a cell, under which load; the recovery; what woke it, "
     "and after how long.", NULL},
    {GUIDE_SHOWS, WHEN_STATED, "Held against the label's {limit}: a discharge that ends at or above it meets it.", NULL},
    {GUIDE_SHOWS_NOT, 0, "Which cell made it open, unless each group is read: one weak cell ends it for all.", NULL},
    {GUIDE_SHOWS_NOT, 0, "An open-circuit voltage: at the knee the volts fall faster than the current explains.", NULL},
    {GUIDE_NEEDS, 0, "A load of {load_a} or so that stays on below {least_v}; an inverter lets go earlier, and then it is not the board "
     "that ended it.", NULL},
    {GUIDE_NEEDS, 0, "Volts at the terminals, twice a second or a film near the end; a charger to wake it with.", NULL},
    {GUIDE_PREPARE, 0, "Use the end of the capacity test: nothing more has to be discharged.", NULL},
    {GUIDE_PREPARE, WHEN_INVERTER, "Have a load at hand that does without the inverter, such as a heating resistor, for the last minutes.", NULL},
    {GUIDE_CAUTIONS, 0, "Stay with it: the last tenth goes fast. Charge it again within the hour; a pack that is left empty is harmed.", NULL},
    {GUIDE_STEPS, 0, "Begin, or go on with, the recording of the discharge.", "load on"},
    {GUIDE_STEPS, 0, "From {watch_v} on read as often as the rig allows, and do not change the load.", NULL},
    {GUIDE_STEPS, 0, "When the board opens, the volts at the terminals fall to nearly nothing at once. Switch the load off.", "load off"},
    {GUIDE_STEPS, 0, "Go on recording for ten minutes: the recovery is part of it.", NULL},
    {GUIDE_STEPS, 0, "If the volts stay away, connect the charger, {small_a}, and mark the instant.", "charger on to wake it"},
    {GUIDE_STEPS, 0, "When it is awake, charge it for half an hour at least; end the recording.", NULL},
    {GUIDE_STOP, 0, "Below {least_v} at the terminals with current flowing: what opens lower is not looked for.", NULL},
    {GUIDE_STOP, WHEN_BEYOND, "The label's {limit} lies below {least_v}: this test does not go there, and that claim stays not exercised.", NULL},
    {GUIDE_NOTE, 0, "The load at that moment; whether load or board let go; how many volts came back; what woke it.", NULL},
    {GUIDE_SOURCES, 0, "2.5 V a cell: several general pages on lithium iron phosphate that agree. Ten minutes of recovery: common practice, "
     "no source.", NULL},
    {0, 0, NULL, NULL},
};

static const struct guide_template high_voltage[] = {
    {GUIDE_SHOWS, 0, "The volts at which the board stopped the charge, in total and as a mean a cell, and that a supply above it does not "
     "get through.", NULL},
    {GUIDE_SHOWS, WHEN_STATED, "Held against the label's {limit}: a charge that the board ends at or below it meets it.", NULL},
    {GUIDE_SHOWS_NOT, 0, "Which cell made it open, unless each group is read: one that is full before the others stops it earlier, in "
     "total, than the board's own limit for a cell.", NULL},
    {GUIDE_SHOWS_NOT, 0, "The board's limit, when nothing stops up to {most_v}: it stays not exercised, and no more is asked.", NULL},
    {GUIDE_NEEDS, 0, "A bench supply with a current limit that can be set to {small_a} and volts in steps of 0.05 V or less; not a "
     "charger, which ends by itself.", NULL},
    {GUIDE_NEEDS, 0, "Volts at the terminals of the sample, once a second; each group of cells too where the case is open.", NULL},
    {GUIDE_PREPARE, 0, "Charge it full first, with its rest (sheet ‘Full charge with rest’).", NULL},
    {GUIDE_PREPARE, 0, "Set the supply to {charge_v} and {small_a} with nothing connected; set its own over-voltage cut-off, if it has "
     "one, to {most_v}.", NULL},
    {GUIDE_CAUTIONS, 0, "Overcharge is the protection that cells need most and forgive least: small current, hand on the switch, eyes on "
     "the volts, nothing above {most_v}.", NULL},
    {GUIDE_STEPS, 0, "Begin the recording as a protection test. Switch the supply on and wait until the amps have died away.", "supply on"},
    {GUIDE_STEPS, 0, "Raise the supply by 0.05 V, wait a minute, and again. Mark each step just before it; the last one before the stop "
     "is the stimulus.", "supply raised"},
    {GUIDE_STEPS, 0, "When the current stops at once and the volts jump to what the supply is set to, the board has opened. Leave it a "
     "minute.", NULL},
    {GUIDE_STEPS, 0, "Supply off; go on recording until the volts settle.", "supply off"},
    {GUIDE_STEPS, 0, "For the release, put a small load on for a minute, then the supply at {charge_v} again.", "supply on"},
    {GUIDE_STEPS, 0, "Supply off, end the recording.", "supply off"},
    {GUIDE_STOP, 0, "Above {most_v} at the terminals, or when any cell that is read passes 3.65 V.", NULL},
    {GUIDE_STOP, WHEN_BEYOND, "The label's {limit} lies above {most_v}: this test does not go there, and that claim stays not exercised.", NULL},
    {GUIDE_STOP, 0, "When the case warms: at such a current it should not.", NULL},
    {GUIDE_NOTE, 0, "Volts of the supply and of the terminals at the stop; volts of each group if read; how it came back.", NULL},
    {GUIDE_SOURCES, 0, "3.65 V a cell: several general pages on lithium iron phosphate that agree. Steps of 0.05 V a minute: common "
     "practice, no source.", NULL},
    {0, 0, NULL, NULL},
};

const struct guide_template *const guide_templates[GUIDE_TESTS] = {
    [GUIDE_CHARGE] = charge,           [GUIDE_COLD_CHARGE] = cold_charge, [GUIDE_HOT_CHARGE] = hot_charge,
    [GUIDE_OVER_CURRENT] = over_current, [GUIDE_LOW_VOLTAGE] = low_voltage, [GUIDE_HIGH_VOLTAGE] = high_voltage,
};
