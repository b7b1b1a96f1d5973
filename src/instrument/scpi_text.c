#include "instrument/scpi_text.h"

#include "base/number.h"

#include <math.h>

int scpi_fields(struct span answer, struct span ret_fields[static SCPI_FIELDS])
{
    int count = 0;
    bool quoted = false;
    size_t from = 0;
    for (size_t at = 0; at <= answer.n && count < SCPI_FIELDS; at++) {
        if (at < answer.n && answer.p[at] == '"')
            quoted = !quoted;
        if (at < answer.n && (quoted || (answer.p[at] != ',' && answer.p[at] != ';')))
            continue;
        ret_fields[count++] = span_trim((struct span){answer.p + from, at - from});
        from = at + 1;
    }
    return count;
}

bool scpi_error_read(struct span answer, int *ret_number)
{
    struct span fields[SCPI_FIELDS];
    double number;
    if (scpi_fields(answer, fields) < 2 || !number_is(fields[0], '.', &number) || number != floor(number) ||
        fabs(number) > 32768)
        return false;
    *ret_number = (int)number;
    return true;
}
