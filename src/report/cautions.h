/* Cautions: said where the work is planned or published, and always the same. */
#ifndef RUNDOWN_REPORT_CAUTIONS_H
#define RUNDOWN_REPORT_CAUTIONS_H

/* Sentences, ended by NULL. */
extern const char *const cautions[];

#endif
