/* A script: what a rehearsal is of, the pack and its board, the meters, and what is done. docs/rehearsal.md is the
 * full form of the file:
 *
 *     [pack]
 *     capacity = 103 Ah
 *     [program]
 *     discharge = 300 W, ripple 20 %, for 2 h
 *     burst = 1100 W, ripple 20 %, for 4 min
 *     discharge = 300 W, ripple 20 %, until cut-off
 *
 * Everything has a value of its own where the file says nothing, all of it invented. */
#ifndef RUNDOWN_REHEARSAL_SCRIPT_H
#define RUNDOWN_REHEARSAL_SCRIPT_H

#include "base/status.h"
#include "base/text.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

/* The meters of the bench. Each has its section, under the name in script_meter_names. */
enum script_meter {
    METER_BENCH, /* volts and amps; a supply of its own */
    METER_SHUNT, /* volts, amps and tallies; fed by the pack, so dark with it */
    METER_PROBE, /* temperature at the board's sensor */
    METERS
};
extern const char *const script_meter_names[METERS];

struct script {
    char name[128], path[256];
    uint32_t seed;
    double grid_s;
    struct pack_make make; /* its ocv is the caller's to set */
    double charged;        /* state of charge at the start */
    bool cells_differ;     /* drawn by the seed when the rehearsal is made */
    struct load_segment segments[TRUTH_MOST_SEGMENTS];
    bool is_burst[TRUTH_MOST_SEGMENTS];
    size_t count;
    struct instrument_make meters[METERS];
    struct text claims; /* lines of [claims] as they stand, for the label; owned */
};

enum status script_read(const char *path, struct script *ret_script, struct message *message);
/* The same from memory; `path` is for messages. */
enum status script_read_text(const char *path, struct span text, struct script *ret_script,
                             struct message *message);
void script_free(struct script *script);

/* The script that is played when none is given. */
extern const char script_default[];

#endif
