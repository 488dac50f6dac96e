// The C side of package glpk: what must not cross into Go.
//
// GLPK keeps one environment per OS thread and ends the process on misuse unless the error hook jumps out. Every
// function here that calls GLPK sets the jump first and returns LP_FAULT when the hook was taken; the hook has then
// freed the thread's environment, and with it every problem of that thread (A. Makhorin, help-glpk list, January 2017).

#ifndef LONGPOINT_GLPK_SHIM_H
#define LONGPOINT_GLPK_SHIM_H

#include <glpk.h>

#if GLP_MAJOR_VERSION < 5
#error "GLPK 5.0 or later is needed"
#endif

enum { LP_FAULT = -1 };

// What a problem is on this side. generation is that of the thread's environment that prob belongs to: when
// it is no longer the current one, prob is gone.
typedef struct {
	glp_prob *prob;
	unsigned long generation;
	char fault[256]; // what GLPK said last, when it faulted
} lp_handle;

int lp_open(lp_handle *h);
void lp_close(lp_handle *h);
int lp_alive(const lp_handle *h);

int lp_add_rows(lp_handle *h, int count, const int *type, const double *lower, const double *upper);
int lp_add_cols(lp_handle *h, int count, const double *cost, const double *lower, const double *upper, const int *start,
                const int *row, const double *value);
int lp_del_cols(lp_handle *h, int count, const int *col);
int lp_set_row_bounds(lp_handle *h, int row, int type, double lower, double upper);
int lp_set_col_bounds(lp_handle *h, int col, int type, double lower, double upper);
int lp_set_cost(lp_handle *h, int col, double cost);
int lp_set_integer(lp_handle *h, int col);
int lp_simplex(lp_handle *h, int method, int limit_ms, int iterations, int plain, double tolerance, int *code,
               int *status);
int lp_intopt(lp_handle *h, int limit_ms, int nodes, int *code, int *status);
int lp_read(lp_handle *h, double *objective, double *primal, double *dual, double *reduced, int *row_stat, int *col_stat);
int lp_write_basis(lp_handle *h, const int *row_stat, const int *col_stat);
int lp_std_basis(lp_handle *h);
int lp_adv_basis(lp_handle *h);
int lp_mip_read(lp_handle *h, double *objective, double *value);
int lp_misuse(lp_handle *h);
void lp_memory(int *blocks);

#endif
