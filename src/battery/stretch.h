/* Stretch: what any part of an examined log comes to, by the science of the findings (amounts.h).
 *
 * A stretch holds the readings from the first at or after its beginning to the last at or before its end, and goes
 * from the one to the other. Where one of these begins or ends a phase, it reaches to the phase's edge: the stretch
 * over a run is the run, and gives the run's amounts to the last digit. What a choice of ends leaves open is
 * nobody's error and in no budget. */
#ifndef RUNDOWN_BATTERY_STRETCH_H
#define RUNDOWN_BATTERY_STRETCH_H

#include "base/status.h"
#include "battery/amounts.h"
#include "battery/findings.h"

/* Sums over all of a log, kept between questions; each then takes microseconds. For several threads once made. */
struct ground;
/* The series as it was examined, oriented; all three borrowed until ground_free. */
enum status ground_make(const struct series *series, const struct rig *rig, const struct findings *findings,
                        struct ground **ret_ground, struct message *message);
void ground_free(struct ground *ground);
const struct basis *ground_basis(const struct ground *ground); /* borrowed, as the findings */
const struct findings *ground_findings(const struct ground *ground);

struct stretch_found {
    double from_s, to_s;
    size_t readings;     /* that have what is needed */
    size_t first, last;  /* rows of the series */
    int direction;       /* +1: more charge left the sample than went in; -1: the other way */
    struct measure charge_ah, energy_wh; /* positive in that direction */
    struct measure mean_v, mean_a, mean_w; /* of amps and watts likewise */
    struct measure duration_s;
};

/* Fails when fewer than two readings lie between. */
enum status stretch_measure(const struct ground *ground, double from_s, double to_s, struct stretch_found *ret_stretch,
                            struct message *message);

/* Net charge that left the sample from one instant to the other, Ah, along the straight lines between readings; beyond
 * the readings nothing flowed. Never falls as to_s rises only as far as no current came back. */
double ground_charge_ah(const struct ground *ground, double from_s, double to_s);
/* When so much had left since from_s; the last reading when it never did. */
double ground_when(const struct ground *ground, double from_s, double charge_ah);

#endif
