/* Full before: whether the sample was full when a test began, where the charge before it lies in another record.
 *
 * A charge and the discharge after it are often two runs of a book, or two logs. Where the records state when they began,
 * all on one kind of clock, the last thing that flowed before a test's start tells: a charge that was shown to fill the
 * sample (battery/fullness.h), with nothing drawn since, whichever record holds it. A rest between counts nothing, unless
 * it lasted longer than FULL_KEEPS_S. Only tests are looked at whose own readings hold no charge before them. */
#ifndef RUNDOWN_CLAIMS_FULL_BEFORE_H
#define RUNDOWN_CLAIMS_FULL_BEFORE_H

#include "claims/assessment.h"

/* Self-discharge of lithium iron phosphate is some 2 or 3 % a month, and a board draws besides: from memory. */
#define FULL_KEEPS_S (30 * 86400.0)

/* Rewrites full_before, full_doubted, full_words and that condition of the records' findings. */
void full_before_across(struct assessment *assessment);

#endif
