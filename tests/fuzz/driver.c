/* Runs a fuzz target over every file of the folders named on the command line. */
#include "base/text.h"

#include <dirent.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static int run_folder(const char *folder)
{
    DIR *directory = opendir(folder);
    if (directory == NULL) {
        fprintf(stderr, "%s: no such folder of seeds\n", folder);
        return 0;
    }
    int count = 0;
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        char path[4096];
        struct text seed = TEXT_EMPTY;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (entry->d_name[0] == '.' || text_read_file(path, (size_t)1 << 24, &seed) != 0)
            continue;
        LLVMFuzzerTestOneInput((const uint8_t *)text_string(&seed), seed.length);
        text_free(&seed);
        count++;
    }
    closedir(directory);
    return count;
}

int main(int argc, char **argv)
{
    LLVMFuzzerTestOneInput((const uint8_t *)"", 0);
    int count = 0;
    for (int k = 1; k < argc; k++)
        count += run_folder(argv[k]);
    printf("%d seeds run\n", count);
    return count == 0;
}
