#include "report/words.h"

#include <stdio.h>

void words_probability(double probability, char *buffer, size_t size)
{
    if (probability > 0.9995)
        snprintf(buffer, size, "p > 0.999");
    else if (probability < 0.0005)
        snprintf(buffer, size, "p < 0.001");
    else
        snprintf(buffer, size, "p %.3f", probability);
}
