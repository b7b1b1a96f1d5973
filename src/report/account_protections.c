#include "report/account.h"

void account_protections(const struct record *record, struct listing *rows)
{
    (void)record, (void)rows;
}
