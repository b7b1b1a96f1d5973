#include "check.h"

#include <unistd.h>

static struct test_case *first, **last = &first;
static int faults;
static bool skipped;

void test_register(struct test_case *test)
{
    *last = test;
    last = &test->next;
}

void test_failed(const char *file, int line, const char *what)
{
    faults++;
    printf("    %s:%d: %s\n", file, line, what);
}

bool test_near(const char *file, int line, const char *label, double got, double want, double tolerance)
{
    if (fabs(got - want) <= tolerance) /* false for NaN, as it should be */
        return true;
    char text[512];
    snprintf(text, sizeof text, "%s is %.12g, not %.12g within %.3g", label, got, want, tolerance);
    test_failed(file, line, text);
    return false;
}

bool test_text(const char *file, int line, const char *label, const char *got, const char *want)
{
    if (got != NULL && strcmp(got, want) == 0)
        return true;
    char text[2048];
    snprintf(text, sizeof text, "%s is \"%s\", not \"%s\"", label, got != NULL ? got : "(null)", want);
    test_failed(file, line, text);
    return false;
}

void test_skip(const char *reason)
{
    skipped = true;
    printf("    skipped: %s\n", reason);
}

const char *test_data(const char *path)
{
    static char buffer[1024];
    const char *root = getenv("RUNDOWN_TEST_DATA");
    snprintf(buffer, sizeof buffer, "%s/%s", root != NULL ? root : "../shared/data", path);
    return access(buffer, R_OK) == 0 ? buffer : NULL;
}

int main(int argc, char **argv)
{
    int passed = 0, failed = 0, skips = 0;
    for (struct test_case *test = first; test != NULL; test = test->next) {
        if (argc > 1 && strstr(test->name, argv[1]) == NULL)
            continue;
        faults = 0;
        skipped = false;
        test->run();
        const char *word = faults > 0 ? "FAILED" : skipped ? "skipped" : "passed";
        printf("%-7s %s\n", word, test->name);
        passed += faults == 0 && !skipped;
        skips += faults == 0 && skipped;
        failed += faults > 0;
        fflush(stdout);
    }
    printf("%d passed, %d failed, %d skipped\n", passed, failed, skips);
    return failed > 0 || passed + skips == 0;
}
