#include "shim.h"

#include <setjmp.h>
#include <string.h>

// One GLPK environment per OS thread, and one jump target in it. open_count problems are open on this thread; when it
// falls to zero the environment is freed. generation counts the environments the thread has had.
static __thread jmp_buf jump;
static __thread int open_count;
static __thread unsigned long generation = 1;
static __thread char said[256];

static int on_print(void *info, const char *text)
{
	(void)info;
	strncat(said, text, sizeof said - 1 - strlen(said));
	return 1; // printed: GLPK itself stays silent
}

static void on_error(void *info)
{
	(void)info;
	glp_free_env();
	generation++;
	open_count = 0;
	longjmp(jump, 1);
}

static int fault(lp_handle *h)
{
	memcpy(h->fault, said, sizeof said);
	h->prob = NULL;
	return LP_FAULT;
}

// GUARD makes the rest of the function return LP_FAULT when GLPK faults, or when the problem is gone already.
#define GUARD(h)                     \
	if (!lp_alive(h))            \
		return LP_FAULT;     \
	said[0] = 0;                 \
	if (setjmp(jump))            \
		return fault(h)

int lp_alive(const lp_handle *h)
{
	return h->prob != NULL && h->generation == generation;
}

int lp_open(lp_handle *h)
{
	said[0] = 0;
	if (setjmp(jump))
		return fault(h);
	glp_term_hook(on_print, NULL);
	glp_error_hook(on_error, NULL);
	h->prob = glp_create_prob();
	h->generation = generation;
	open_count++;
	return 0;
}

void lp_close(lp_handle *h)
{
	if (!lp_alive(h))
		return;
	if (setjmp(jump)) {
		fault(h);
		return;
	}
	glp_delete_prob(h->prob);
	h->prob = NULL;
	if (--open_count == 0) {
		glp_free_env();
		generation++;
	}
}

int lp_add_rows(lp_handle *h, int count, const int *type, const double *lower, const double *upper)
{
	GUARD(h);
	int first = glp_add_rows(h->prob, count);
	for (int i = 0; i < count; i++)
		glp_set_row_bnds(h->prob, first + i, type[i], lower[i], upper[i]);
	return 0;
}

int lp_add_cols(lp_handle *h, int count, const double *cost, const double *lower, const double *upper, const int *start,
                const int *row, const double *value)
{
	GUARD(h);
	int first = glp_add_cols(h->prob, count);
	for (int j = 0; j < count; j++) {
		int type = lower[j] == upper[j] ? GLP_FX : upper[j] >= 1e300 ? GLP_LO : GLP_DB;
		glp_set_col_bnds(h->prob, first + j, type, lower[j], upper[j]);
		glp_set_obj_coef(h->prob, first + j, cost[j]);
		// GLPK counts from 1: it never reads element 0 of what it is given.
		glp_set_mat_col(h->prob, first + j, start[j + 1] - start[j], row + start[j] - 1, value + start[j] - 1);
	}
	return 0;
}

int lp_del_cols(lp_handle *h, int count, const int *col)
{
	GUARD(h);
	glp_del_cols(h->prob, count, col - 1);
	return 0;
}

int lp_set_row_bounds(lp_handle *h, int row, int type, double lower, double upper)
{
	GUARD(h);
	glp_set_row_bnds(h->prob, row, type, lower, upper);
	return 0;
}

int lp_set_col_bounds(lp_handle *h, int col, int type, double lower, double upper)
{
	GUARD(h);
	glp_set_col_bnds(h->prob, col, type, lower, upper);
	return 0;
}

int lp_set_cost(lp_handle *h, int col, double cost)
{
	GUARD(h);
	glp_set_obj_coef(h->prob, col, cost);
	return 0;
}

int lp_set_integer(lp_handle *h, int col)
{
	GUARD(h);
	glp_set_col_kind(h->prob, col, GLP_IV);
	return 0;
}

int lp_simplex(lp_handle *h, int method, int limit_ms, int iterations, int plain, double tolerance, int *code,
               int *status)
{
	GUARD(h);
	glp_smcp parm;
	glp_init_smcp(&parm);
	parm.msg_lev = GLP_MSG_OFF;
	parm.meth = method;
	if (iterations > 0)
		parm.it_lim = iterations;
	if (plain) {
		parm.pricing = GLP_PT_STD;
		parm.r_test = GLP_RT_STD;
	}
	if (tolerance > 0)
		parm.tol_dj = tolerance;
	parm.tm_lim = limit_ms;
	*code = glp_simplex(h->prob, &parm);
	*status = glp_get_status(h->prob);
	return 0;
}

/* count_nodes stops branch and bound when the tree has had *info nodes. */
static void count_nodes(glp_tree *tree, void *info)
{
	int total;
	glp_ios_tree_size(tree, NULL, NULL, &total);
	if (total > *(int *)info)
		glp_ios_terminate(tree);
}

int lp_intopt(lp_handle *h, int limit_ms, int nodes, int *code, int *status)
{
	GUARD(h);
	glp_iocp parm;
	glp_init_iocp(&parm);
	parm.msg_lev = GLP_MSG_OFF;
	parm.tm_lim = limit_ms;
	if (nodes > 0) {
		parm.cb_func = count_nodes;
		parm.cb_info = &nodes;
	}
	*code = glp_intopt(h->prob, &parm);
	*status = glp_mip_status(h->prob);
	return 0;
}

int lp_read(lp_handle *h, double *objective, double *primal, double *dual, double *reduced, int *row_stat, int *col_stat)
{
	GUARD(h);
	int rows = glp_get_num_rows(h->prob), cols = glp_get_num_cols(h->prob);
	*objective = glp_get_obj_val(h->prob);
	for (int i = 0; i < rows; i++) {
		dual[i] = glp_get_row_dual(h->prob, i + 1);
		row_stat[i] = glp_get_row_stat(h->prob, i + 1);
	}
	for (int j = 0; j < cols; j++) {
		primal[j] = glp_get_col_prim(h->prob, j + 1);
		reduced[j] = glp_get_col_dual(h->prob, j + 1);
		col_stat[j] = glp_get_col_stat(h->prob, j + 1);
	}
	return 0;
}

int lp_write_basis(lp_handle *h, const int *row_stat, const int *col_stat)
{
	GUARD(h);
	int rows = glp_get_num_rows(h->prob), cols = glp_get_num_cols(h->prob);
	for (int i = 0; i < rows; i++)
		glp_set_row_stat(h->prob, i + 1, row_stat[i]);
	for (int j = 0; j < cols; j++)
		glp_set_col_stat(h->prob, j + 1, col_stat[j]);
	return 0;
}

int lp_std_basis(lp_handle *h)
{
	GUARD(h);
	glp_std_basis(h->prob);
	return 0;
}

int lp_adv_basis(lp_handle *h)
{
	GUARD(h);
	glp_adv_basis(h->prob, 0);
	return 0;
}

int lp_mip_read(lp_handle *h, double *objective, double *value)
{
	GUARD(h);
	int cols = glp_get_num_cols(h->prob);
	*objective = glp_mip_obj_val(h->prob);
	for (int j = 0; j < cols; j++)
		value[j] = glp_mip_col_val(h->prob, j + 1);
	return 0;
}

// lp_misuse misuses GLPK on purpose, for the test of the error hook.
int lp_misuse(lp_handle *h)
{
	GUARD(h);
	glp_set_row_bnds(h->prob, -7, GLP_FX, 0, 0);
	return 0;
}

// lp_memory counts the blocks that GLPK holds on this thread.
void lp_memory(int *blocks)
{
	glp_mem_usage(blocks, NULL, NULL, NULL);
	if (open_count == 0)
		glp_free_env(); // glp_mem_usage made an environment
}
