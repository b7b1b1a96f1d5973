/* How long a photograph takes from its bytes to the codes in it, decoding included, on one core: median of TURNS. Fails
 * when not so many codes are found, or above MS milliseconds. usage: picture_rate FILE CODES [MS] */
#include "image/codes.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { TURNS = 7, ROOM = 64 };

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static struct text bytes_of(const char *path)
{
    struct text bytes = TEXT_EMPTY;
    char block[65536];
    FILE *file = fopen(path, "rb");
    for (size_t n; file != NULL && (n = fread(block, 1, sizeof block, file)) > 0;)
        text_add_bytes(&bytes, block, n);
    if (file != NULL)
        fclose(file);
    return bytes;
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "usage: picture_rate FILE CODES [MS]\n");
        return 2;
    }
    struct text bytes = bytes_of(argv[1]);
    size_t wanted = strtoul(argv[2], NULL, 10), found = 0;
    double most = argc > 3 ? strtod(argv[3], NULL) : 1e9, decoded[TURNS], whole[TURNS], megapixels = 0;
    for (int turn = 0; turn < TURNS; turn++) {
        struct image *image = NULL;
        struct message message;
        struct code codes[ROOM];
        double from = now_ms();
        if (image_read(argv[1], (struct span){bytes.s, bytes.length}, &image, &message) != STATUS_OK) {
            fprintf(stderr, "%s\n", message.what);
            return 1;
        }
        decoded[turn] = now_ms() - from;
        found = codes_find(image, codes, ROOM);
        whole[turn] = now_ms() - from;
        megapixels = 1e-6 * image_width(image) * image_height(image);
        image_free(image);
    }
    text_free(&bytes);
    qsort(decoded, TURNS, sizeof *decoded, by_size);
    qsort(whole, TURNS, sizeof *whole, by_size);
    printf("%.1f megapixels: %zu of %zu codes in %.0f ms of one core, %.0f ms of them decoding (median of %d, longest %.0f ms)\n",
           megapixels, found, wanted, whole[TURNS / 2], decoded[TURNS / 2], TURNS, whole[TURNS - 1]);
    return found == wanted && whole[TURNS / 2] <= most ? 0 : 1;
}
