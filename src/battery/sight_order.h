/* Order: when the nodes were, on one nominal clock, and how long the legs lasted.
 *
 * Times count within a clock. A node without a time between two nodes of one clock lies anywhere
 * between them. Where the load changed between two nodes, the instant lies anywhere between them, or
 * within MARK_SLACK_S of the mark that tells it. A leg between two clocks has no duration of its own; when
 * tallies stand on both sides of it, the charge between them less that of the timed legs flowed in it,
 * and its duration follows from the current: between charge over the largest and over the smallest. */
#ifndef RUNDOWN_BATTERY_SIGHT_ORDER_H
#define RUNDOWN_BATTERY_SIGHT_ORDER_H

#include "battery/sight.h"

/* Fills the times of nodes, changes and legs. Needs the legs. */
void sight_order(struct course *course);

#endif
