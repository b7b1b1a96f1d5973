/* Reads the columns of a reference data set: comma-separated numbers under comment lines (#) and one
 * line of names. Returns the rows read, or 0 when the data set is not on this machine. */
#ifndef RUNDOWN_TESTS_REFERENCE_COLUMNS_H
#define RUNDOWN_TESTS_REFERENCE_COLUMNS_H

#include "check.h"

#include "base/number.h"

enum { COLUMN_ROWS = 1200, COLUMNS = 8 };

static inline size_t columns_read(const char *name, double ret_column[COLUMNS][COLUMN_ROWS])
{
    char path[128], line[512];
    snprintf(path, sizeof path, "../check-values/%s", name);
    const char *found = test_data(path);
    FILE *file = found != NULL ? fopen(found, "r") : NULL;
    if (file == NULL)
        return 0;
    size_t rows = 0;
    bool named = false;
    while (rows < COLUMN_ROWS && fgets(line, sizeof line, file) != NULL) {
        if (line[0] == '#' || !named) {
            named = named || line[0] != '#';
            continue;
        }
        struct span rest = span_of(line);
        for (size_t column = 0; rest.n > 0 && column < COLUMNS; column++) {
            size_t used = number_read(rest, '.', &ret_column[column][rows], NULL);
            if (used == 0)
                break;
            used += used < rest.n; /* the comma */
            rest = (struct span){rest.p + used, rest.n - used};
        }
        rows++;
    }
    fclose(file);
    return rows;
}

#endif
