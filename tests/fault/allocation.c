#include "fault/allocation.h"

#include <sqlite3.h>

static sqlite3_mem_methods machine;
static long fail_in, failed;
static bool without_end;

static bool fails(void)
{
    if (fail_in <= 0 || --fail_in > 0)
        return false;
    fail_in = without_end ? 1 : 0;
    failed++;
    return true;
}

static void *get(int size)
{
    return fails() ? NULL : machine.xMalloc(size);
}

static void *resize(void *old, int size)
{
    return fails() ? NULL : machine.xRealloc(old, size);
}

void allocation_install(void)
{
    static sqlite3_mem_methods methods;
    if (machine.xMalloc != NULL)
        return;
    sqlite3_shutdown();
    sqlite3_config(SQLITE_CONFIG_GETMALLOC, &machine);
    methods = machine;
    methods.xMalloc = get;
    methods.xRealloc = resize;
    sqlite3_config(SQLITE_CONFIG_MALLOC, &methods);
    sqlite3_initialize();
}

void allocation_fail(long at, bool for_good)
{
    fail_in = at;
    without_end = for_good;
    failed = 0;
}

long allocation_failed(void)
{
    return failed;
}
