/* base/number.h: what is read is finite, and its characters are those that strtod reads. */
#include "base/number.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct span span = {(const char *)data, size};
    double value = NAN;
    int decimals = 0;
    size_t used = number_read(span, '.', &value, &decimals);
    if (used > size || (used > 0 && !isfinite(value)) || (used == 0 && !isnan(value)))
        abort();
    if (used > 0) {
        char plain[128];
        span_copy((struct span){span.p, used}, plain, sizeof plain);
        if (strtod(plain, NULL) != value)
            abort();
    }
    number_read(span, ',', &value, NULL);
    char printed[64];
    number_print(value, fabs(value) / 100, printed, sizeof printed);
    number_print_duration(value, printed, sizeof printed);
    return 0;
}
