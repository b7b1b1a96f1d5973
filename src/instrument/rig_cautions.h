/* Rig cautions: said whenever instruments are connected, and always the same. */
#ifndef RUNDOWN_INSTRUMENT_RIG_CAUTIONS_H
#define RUNDOWN_INSTRUMENT_RIG_CAUTIONS_H

/* Sentences, ended by NULL. */
extern const char *const rig_cautions[];

#endif
