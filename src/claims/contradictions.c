#include "claims/contradictions.h"

void contradictions_find(struct assessment *assessment)
{
    (void)assessment;
}
