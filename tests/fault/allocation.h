/* Memory of SQLite that runs out on demand. Install before anything else uses SQLite. */
#ifndef RUNDOWN_TESTS_FAULT_ALLOCATION_H
#define RUNDOWN_TESTS_FAULT_ALLOCATION_H

#include <stdbool.h>

void allocation_install(void);
/* The `at`-th allocation from now on fails (from 1; 0: none does), and all after it when `for_good`. */
void allocation_fail(long at, bool for_good);
long allocation_failed(void); /* how many did */

#endif
