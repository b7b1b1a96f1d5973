/* Paper taken: what each line of a readable text was taken for; a part of paper_check. */
#ifndef RUNDOWN_CLAIMS_PAPER_TAKEN_H
#define RUNDOWN_CLAIMS_PAPER_TAKEN_H

#include "claims/paper_check.h"
#include "claims/label.h"
#include "claims/loads.h"
#include "quantity/accuracy.h"

/* Takes the words over. */
void paper_add_line(struct paper_check *check, long line, const char *kind, struct text *taken);

/* Each adds the lines of its form, from what was read of `text` and the text itself. */
void paper_taken_label(const struct label *label, struct span text, struct paper_check *check);
void paper_taken_rig(const struct rig *rig, struct span text, struct paper_check *check);
void paper_taken_loads(const struct loads *loads, struct span text, struct paper_check *check);
/* Of a plan, and of what was seen in an opened sample. */
void paper_taken_settings(struct span text, struct paper_check *check);
void paper_taken_readings(const struct sightings *sightings, struct span text, struct paper_check *check);

#endif
