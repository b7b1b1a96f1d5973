/* The [program] of a script, and nothing else of it: rest, discharge, burst, charge, sensor. */
#ifndef RUNDOWN_REHEARSAL_SCRIPT_PROGRAM_H
#define RUNDOWN_REHEARSAL_SCRIPT_PROGRAM_H

#include "intake/ini.h"
#include "rehearsal/script.h"

enum status script_read_program(const struct ini *ini, struct script *script, struct message *message);

#endif
