/* The meters of a script: accuracy as a maker prints it, which becomes the bounds that errors are drawn from. */
#ifndef RUNDOWN_REHEARSAL_SCRIPT_METERS_H
#define RUNDOWN_REHEARSAL_SCRIPT_METERS_H

#include "intake/ini.h"
#include "rehearsal/script.h"

enum status script_read_meters(const struct ini *ini, struct script *script, struct message *message);

#endif
